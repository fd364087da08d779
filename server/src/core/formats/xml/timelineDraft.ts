/**
 * A timeline XML as collected element by element: places of values, nothing interpreted yet.
 *
 * Values are interpreted once all of them are known, because an `EditRate` may stand after the numbers it counts and a
 * media reference after the clips that name it. A span here covers a value without the white space around it.
 */

import type { ElementVisitor } from '../../syntax/xml/elementStack.ts';
import type { ProblemReporter } from '../../syntax/xml/problemLog.ts';
import type { XmlAttribute } from '../../syntax/xml/tagAttributes.ts';
import { decodeXmlText, trimSpan } from '../../syntax/xml/xmlText.ts';
import type { Span } from '../../text/span.ts';
import { Element } from './timelineVocabulary.ts';

export interface AcceptDraft {
  readonly start: number;
  end: number;
  readonly code: string | null;
  reason: Span | null;
}

/** A clip, gap or transition; `unknown` for an element of a track that could not be read and may have taken time. */
export interface ItemDraft {
  readonly kind: 'clip' | 'gap' | 'transition' | 'unknown';
  readonly start: number;
  /** End of the start tag. */
  readonly tagEnd: number;
  end: number;
  readonly isEnabled: boolean;
  name: Span | null;
  mediaId: Span | null;
  rate: Span | null;
  entryPoint: Span | null;
  length: Span | null;
  scalar: Span | null;
  reel: Span | null;
  inOffset: Span | null;
  outOffset: Span | null;
  accepts: AcceptDraft[] | null;
}

export interface TrackDraft {
  readonly start: number;
  end: number;
  readonly kind: string | null;
  readonly isEnabled: boolean;
  name: Span | null;
  rate: Span | null;
  readonly items: ItemDraft[];
  readonly accepts: AcceptDraft[];
}

export interface MediaDraft {
  readonly start: number;
  readonly tagEnd: number;
  end: number;
  id: Span | null;
  url: Span | null;
  name: Span | null;
  rate: Span | null;
  availableStart: Span | null;
  availableDuration: Span | null;
  reel: Span | null;
}

export interface TimelineDraft {
  start: number;
  tagEnd: number;
  end: number;
  title: Span | null;
  rate: Span | null;
  dropFrame: Span | null;
  timecodeRate: Span | null;
  startAddress: Span | null;
  stack: { readonly start: number; end: number; readonly isEnabled: boolean } | null;
  readonly media: MediaDraft[];
  readonly tracks: TrackDraft[];
  readonly accepts: AcceptDraft[];
}

export interface TimelineCollector extends ElementVisitor {
  /** Complete once reading has ended; null when the text holds no timeline. */
  readonly draft: () => TimelineDraft | null;
}

const E = Element;

export function collectTimeline(text: string, log: ProblemReporter): TimelineCollector {
  let timeline: TimelineDraft | null = null;
  let media: MediaDraft | null = null;
  let track: TrackDraft | null = null;
  let item: ItemDraft | null = null;
  let accept: AcceptDraft | null = null;
  /** The element whose `Metadata` is open. */
  let metadataOwner = -1;

  return {
    draft: () => timeline,

    open: (code, parent, start, contentStart, attributes) => {
      switch (code) {
        case E.Timeline:
          timeline = emptyTimeline(start, contentStart);
          break;
        case E.ExternalReference:
          media = emptyMedia(start, contentStart);
          timeline?.media.push(media);
          break;
        case E.Stack:
          if (timeline !== null) timeline.stack = { start, end: start, isEnabled: isEnabled(attributes) };
          break;
        case E.Track:
          track = {
            start,
            end: start,
            kind: kindOf(attributes),
            isEnabled: isEnabled(attributes),
            name: null,
            rate: null,
            items: [],
            accepts: [],
          };
          timeline?.tracks.push(track);
          break;
        case E.Clip:
          item = emptyItem('clip', start, contentStart, isEnabled(attributes));
          track?.items.push(item);
          break;
        case E.Gap:
        case E.Transition:
          item = emptyItem(code === E.Gap ? 'gap' : 'transition', start, contentStart, true);
          track?.items.push(item);
          break;
        case E.Metadata:
          metadataOwner = parent;
          break;
        case E.Accept:
          accept = { start, end: start, code: attributeText(attributes, 'code'), reason: null };
          break;
        default:
      }
    },

    close: (code, parent, start, contentStart, contentEnd, end, isComplete) => {
      switch (code) {
        case E.Timeline:
          if (timeline !== null) timeline.end = end;
          break;
        case E.Stack:
          if (timeline?.stack) timeline.stack.end = end;
          break;
        case E.Track:
          if (track !== null) track.end = end;
          track = null;
          break;
        case E.ExternalReference:
          if (media !== null) media.end = end;
          media = null;
          break;
        case E.Clip:
        case E.Gap:
        case E.Transition:
          if (item !== null) item.end = end;
          item = null;
          break;
        case E.Metadata:
          metadataOwner = -1;
          break;
        case E.Accept:
          if (isComplete) closeAccept(start, contentStart, contentEnd, end);
          break;
        case E.CompositionTimecode:
        case E.MediaReferences:
        case E.AvailableRange:
          break;
        default:
          if (isComplete) keep(code, parent, trimSpan(text, contentStart, contentEnd), start, end);
      }
    },

    leftOut: (parent, start, end) => {
      if (parent === E.Track) track?.items.push({ ...emptyItem('unknown', start, end, true), end });
    },
  };

  /** Puts a value where it belongs. `parent` decides for words that occur in several elements. */
  function keep(code: number, parent: number, value: Span, start: number, end: number): void {
    const target = parent === E.ExternalReference ? media : parent === E.Track ? track : parent === E.Timeline ? timeline : item;
    switch (code) {
      case E.EntryPoint:
        if (item !== null) item.entryPoint = value;
        break;
      case E.SourceDuration:
        if (item !== null) item.length = value;
        break;
      case E.TrackFileId:
        if (item !== null) item.mediaId = value;
        break;
      case E.TimeScalar:
        if (item !== null) item.scalar = value;
        break;
      case E.InOffset:
        if (item !== null) item.inOffset = value;
        break;
      case E.OutOffset:
        if (item !== null) item.outOffset = value;
        break;
      case E.Name:
        if (target !== null && 'name' in target) target.name = value;
        break;
      case E.EditRate:
        if (target !== null) target.rate = value;
        break;
      case E.Id:
        if (media !== null) media.id = value;
        break;
      case E.TargetUrl:
        if (media !== null) media.url = value;
        break;
      case E.StartTime:
        if (media !== null) media.availableStart = value;
        break;
      case E.Duration:
        if (media !== null) media.availableDuration = value;
        break;
      case E.ContentTitle:
        if (timeline !== null) timeline.title = value;
        break;
      case E.TimecodeDropFrame:
        if (timeline !== null) timeline.dropFrame = value;
        break;
      case E.TimecodeRate:
        if (timeline !== null) timeline.timecodeRate = value;
        break;
      case E.TimecodeStartAddress:
        if (timeline !== null) timeline.startAddress = value;
        break;
      case E.Reel:
        if (metadataOwner === E.ExternalReference && media !== null) media.reel = value;
        else if (metadataOwner === E.Clip && item !== null) item.reel = value;
        else
          log.unreadable(
            start,
            end,
            'Reel may stand in the Metadata of an ExternalReference or a Clip only; it is not read here.',
          );
        break;
      default:
    }
  }

  function closeAccept(start: number, contentStart: number, contentEnd: number, end: number): void {
    if (accept === null) return;
    accept.end = end;
    accept.reason = trimSpan(text, contentStart, contentEnd);
    if (metadataOwner === E.Clip && item !== null) {
      item.accepts ??= [];
      item.accepts.push(accept);
    } else if (metadataOwner === E.Track && track !== null) {
      track.accepts.push(accept);
    } else if (metadataOwner === E.Timeline && timeline !== null) {
      timeline.accepts.push(accept);
    } else {
      log.unreadable(start, end, 'Accept may stand in the Metadata of a Timeline, Track or Clip only; it accepts nothing here.');
    }
    accept = null;
  }

  function attributeText(attributes: readonly XmlAttribute[], name: string): string | null {
    const found = attributes.find((attribute) => attribute.name === name);
    return found === undefined ? null : decodeXmlText(text.slice(found.valueSpan.start, found.valueSpan.end)).trim();
  }

  function isEnabled(attributes: readonly XmlAttribute[]): boolean {
    const value = attributeText(attributes, 'enabled');
    if (value === null || value === 'true' || value === '1') return true;
    if (value === 'false' || value === '0') return false;
    const place = attributes.find(({ name }) => name === 'enabled')?.valueSpan;
    if (place !== undefined) {
      log.unreadable(place.start, place.end, `enabled is '${value}'. Expected: true or false. It is read as true.`);
    }
    return true;
  }

  function kindOf(attributes: readonly XmlAttribute[]): string | null {
    const value = attributeText(attributes, 'kind');
    const place = attributes.find(({ name }) => name === 'kind')?.valueSpan;
    if (value !== null && value !== 'Video' && value !== 'Audio' && place !== undefined) {
      log.unreadable(
        place.start,
        place.end,
        `kind is '${value}'. Expected: Video or Audio. This track is neither picture nor sound.`,
      );
    }
    return value;
  }
}

function emptyTimeline(start: number, tagEnd: number): TimelineDraft {
  const values = { title: null, rate: null, dropFrame: null, timecodeRate: null, startAddress: null, stack: null };
  return { start, tagEnd, end: tagEnd, ...values, media: [], tracks: [], accepts: [] };
}

function emptyMedia(start: number, tagEnd: number): MediaDraft {
  const values = { id: null, url: null, name: null, rate: null, availableStart: null, availableDuration: null, reel: null };
  return { start, tagEnd, end: tagEnd, ...values };
}

function emptyItem(kind: ItemDraft['kind'], start: number, tagEnd: number, isEnabled: boolean): ItemDraft {
  return {
    kind,
    start,
    tagEnd,
    end: tagEnd,
    isEnabled,
    name: null,
    mediaId: null,
    rate: null,
    entryPoint: null,
    length: null,
    scalar: null,
    reel: null,
    inOffset: null,
    outOffset: null,
    accepts: null,
  };
}
