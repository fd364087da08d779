/**
 * A composition playlist as collected element by element: places of values, nothing interpreted yet.
 *
 * Values are interpreted once all of them are known, because an `EditRate` may stand after the numbers it counts. A span here
 * covers a value without the white space around it.
 */

import type { ElementVisitor } from '../../syntax/xml/elementStack.ts';
import type { XmlAttribute } from '../../syntax/xml/tagAttributes.ts';
import { decodeXmlText, trimSpan } from '../../syntax/xml/xmlText.ts';
import type { Span } from '../../text/span.ts';
import { unknownYear } from './cplNamespaces.ts';
import { CplElement } from './cplVocabulary.ts';

export interface ResourceDraft {
  readonly start: number;
  /** End of the start tag. */
  readonly tagEnd: number;
  end: number;
  annotation: Span | null;
  rate: Span | null;
  intrinsicDuration: Span | null;
  entryPoint: Span | null;
  sourceDuration: Span | null;
  repeatCount: Span | null;
  trackFileId: Span | null;
  /** One file for each eye instead of one. */
  isStereoscopic: boolean;
}

/** Something in a ResourceList that could not be read and may have taken time. */
interface LostResource {
  readonly start: number;
  readonly end: number;
}

export interface SequenceDraft {
  readonly kind: 'picture' | 'sound' | 'other';
  readonly start: number;
  readonly tagEnd: number;
  end: number;
  trackId: Span | null;
  readonly resources: (ResourceDraft | LostResource)[];
}

export interface SegmentDraft {
  readonly start: number;
  readonly tagEnd: number;
  end: number;
  annotation: Span | null;
  readonly sequences: SequenceDraft[];
}

export interface CplDraft {
  readonly start: number;
  readonly tagEnd: number;
  end: number;
  title: Span | null;
  rate: Span | null;
  dropFrame: Span | null;
  timecodeRate: Span | null;
  startAddress: Span | null;
  signature: Span | null;
  readonly segments: SegmentDraft[];
  /** Namespaces of no published edition. */
  readonly unknownYears: { readonly span: Span; readonly year: string; readonly known: readonly string[] }[];
}

export interface CplCollector extends ElementVisitor {
  /** Complete once reading has ended; null when the text holds no composition playlist. */
  readonly draft: () => CplDraft | null;
}

const E = CplElement;
const KINDS: Readonly<Record<number, SequenceDraft['kind']>> = {
  [E.MainImageSequence]: 'picture',
  [E.MainAudioSequence]: 'sound',
  [E.OtherSequence]: 'other',
};

export function collectCpl(text: string): CplCollector {
  let playlist: CplDraft | null = null;
  let segment: SegmentDraft | null = null;
  let sequence: SequenceDraft | null = null;
  let resource: ResourceDraft | null = null;

  return {
    draft: () => playlist,

    open: (code, _parent, start, contentStart, attributes) => {
      if (code === E.CompositionPlaylist) playlist = emptyPlaylist(start, contentStart);
      noteYears(attributes);
      const kind = KINDS[code];
      if (kind !== undefined) {
        sequence = { kind, start, tagEnd: contentStart, end: contentStart, trackId: null, resources: [] };
        segment?.sequences.push(sequence);
      } else if (code === E.Segment) {
        segment = { start, tagEnd: contentStart, end: contentStart, annotation: null, sequences: [] };
        playlist?.segments.push(segment);
      } else if (code === E.Resource) {
        resource = emptyResource(start, contentStart);
        sequence?.resources.push(resource);
      } else if (code === E.LeftEye && resource !== null) {
        resource.isStereoscopic = true;
      }
    },

    close: (code, parent, start, contentStart, contentEnd, end) => {
      if (code === E.CompositionPlaylist) {
        if (playlist !== null) playlist.end = end;
      } else if (code === E.Segment) {
        if (segment !== null) segment.end = end;
        segment = null;
      } else if (KINDS[code] !== undefined) {
        if (sequence !== null) sequence.end = end;
        sequence = null;
      } else if (code === E.Resource) {
        if (resource !== null) resource.end = end;
        resource = null;
      } else if (code === E.Signature) {
        if (playlist !== null) playlist.signature = { start, end };
      } else {
        keep(code, parent, trimSpan(text, contentStart, contentEnd));
      }
    },

    leftOut: (parent, start, end) => {
      if (parent === E.ResourceList) sequence?.resources.push({ start, end });
    },
  };

  /** Puts a value where it belongs. `parent` decides for words that occur in several elements. */
  function keep(code: number, parent: number, value: Span): void {
    if (resource !== null && parent === E.Resource) keepInResource(resource, code, value);
    else if (code === E.TrackId && sequence !== null) sequence.trackId = value;
    else if (code === E.Annotation && parent === E.Segment && segment !== null) segment.annotation = value;
    else if (playlist !== null) keepInPlaylist(playlist, code, parent, value);
  }

  function noteYears(attributes: readonly XmlAttribute[]): void {
    for (const { name, valueSpan } of attributes) {
      if (name !== 'xmlns' && !name.startsWith('xmlns:')) continue;
      const found = unknownYear(decodeXmlText(text.slice(valueSpan.start, valueSpan.end)).trim());
      if (found !== null && playlist?.unknownYears.every(({ year }) => year !== found.year) === true) {
        playlist.unknownYears.push({ span: valueSpan, ...found });
      }
    }
  }
}

function keepInResource(resource: ResourceDraft, code: number, value: Span): void {
  switch (code) {
    case E.Annotation:
      resource.annotation = value;
      break;
    case E.EditRate:
      resource.rate = value;
      break;
    case E.IntrinsicDuration:
      resource.intrinsicDuration = value;
      break;
    case E.EntryPoint:
      resource.entryPoint = value;
      break;
    case E.SourceDuration:
      resource.sourceDuration = value;
      break;
    case E.RepeatCount:
      resource.repeatCount = value;
      break;
    case E.TrackFileId:
      resource.trackFileId = value;
      break;
    default:
  }
}

function keepInPlaylist(playlist: CplDraft, code: number, parent: number, value: Span): void {
  switch (code) {
    case E.ContentTitle:
      playlist.title = value;
      break;
    case E.EditRate:
      if (parent === E.CompositionPlaylist) playlist.rate = value;
      break;
    case E.TimecodeDropFrame:
      playlist.dropFrame = value;
      break;
    case E.TimecodeRate:
      playlist.timecodeRate = value;
      break;
    case E.TimecodeStartAddress:
      playlist.startAddress = value;
      break;
    default:
  }
}

function emptyPlaylist(start: number, tagEnd: number): CplDraft {
  return {
    start,
    tagEnd,
    end: tagEnd,
    title: null,
    rate: null,
    dropFrame: null,
    timecodeRate: null,
    startAddress: null,
    signature: null,
    segments: [],
    unknownYears: [],
  };
}

function emptyResource(start: number, tagEnd: number): ResourceDraft {
  return {
    start,
    tagEnd,
    end: tagEnd,
    annotation: null,
    rate: null,
    intrinsicDuration: null,
    entryPoint: null,
    sourceDuration: null,
    repeatCount: null,
    trackFileId: null,
    isStereoscopic: false,
  };
}
