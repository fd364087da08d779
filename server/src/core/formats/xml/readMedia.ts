/**
 * The media references of timeline XML, by the Id that clips name.
 *
 * `EntryPoint` counts from the first frame or sample of the file. The neutral model counts source time from wherever the
 * media's stamp puts it, so a clip adds `offset` to its entry point: the stamp when there is one, else 0, in which case
 * the media says that its source times are media times already.
 */

import type { ProblemLog } from '../../syntax/xml/problemLog.ts';
import type { Span } from '../../text/span.ts';
import { countToSeconds } from '../../time/rate.ts';
import { add, type Rational, ZERO } from '../../time/rational.ts';
import type { Media, Observation, OutlineNode, TimeRange } from '../../timeline/model.ts';
import type { MediaDraft } from './timelineDraft.ts';
import { shown, type WrittenValues } from './writtenValues.ts';

interface ReadMedia {
  readonly media: Media;
  /** Source time of the file's first frame or sample, in seconds. */
  readonly offset: Rational;
}

export interface MediaTable {
  /** What `TrackFileId` at `place` refers to; missing media, and an observation, when it refers to nothing. */
  readonly find: (place: Span | null) => ReadMedia;
  /** `media` with the reel that a clip's own metadata names. */
  readonly withReel: (media: Media, reel: Span) => Media;
  readonly outline: readonly OutlineNode[];
}

/** Reel columns of edit lists that name no tape. */
const NO_REEL = new Set(['AX', 'BL', 'BLACK', 'BARS']);

const MISSING: Media = {
  kind: 'missing',
  url: null,
  urlSpan: null,
  name: null,
  nameSpan: null,
  reel: null,
  reelSpan: null,
  available: null,
  sourceIsMediaTime: true,
  rate: null,
  rateSpan: null,
};

export function readMedia(
  text: string,
  drafts: readonly MediaDraft[],
  values: WrittenValues,
  log: ProblemLog<Observation>,
): MediaTable {
  const byId = new Map<string, ReadMedia>();
  const outline: OutlineNode[] = [];
  for (const draft of drafts) {
    const read = readOne(draft);
    const name = read.media.name ?? fileNameOf(read.media.url) ?? 'media';
    const nameSpan = read.media.nameSpan ?? draft.url;
    outline.push({ kind: 'media', name, span: { start: draft.start, end: draft.end }, nameSpan, clip: null, children: [] });
    if (draft.id === null) continue;
    const id = idAt(draft.id);
    if (id === '') {
      log.unreadable(
        draft.start,
        draft.tagEnd,
        'Id is empty, so no clip can refer to this media. Expected: any text that no other Id has.',
      );
    } else if (byId.has(id)) {
      const message = `A second ExternalReference has the Id '${shown(id)}'; clips that name it mean the first one.`;
      log.unreadable(draft.id.start, draft.id.end, message);
    } else {
      byId.set(id, read);
    }
  }
  const missing: ReadMedia = { media: MISSING, offset: ZERO };

  return {
    outline,
    find: (place) => {
      if (place === null) return missing;
      // The characters as they stand are the Id but for exotic spellings.
      const found = byId.get(text.slice(place.start, place.end)) ?? byId.get(idAt(place));
      if (found !== undefined) return found;
      const message = `TrackFileId is '${shown(values.textAt(place))}', which is the Id of no ExternalReference in this file.`;
      log.unreadable(place.start, place.end, message);
      return missing;
    },
    withReel: (media, reel) => {
      const name = reelAt(reel);
      return name === null ? media : { ...media, reel: name, reelSpan: reel };
    },
  };

  function readOne(draft: MediaDraft): ReadMedia {
    const rate = draft.rate === null ? null : values.editRate(draft.rate, null);
    const url = draft.url === null ? null : values.textAt(draft.url);
    if (url === '' && draft.url !== null) {
      log.unreadable(draft.start, draft.tagEnd, 'TargetUrl is empty. Expected: the URL, path or name of the file.');
    }
    const name = draft.name === null ? null : values.textAt(draft.name);
    const reel = draft.reel === null ? null : reelAt(draft.reel);
    const available = readAvailable(draft, rate);
    const hasUrl = url !== null && url !== '';
    return {
      media: {
        kind: hasUrl ? 'file' : 'missing',
        url: hasUrl ? url : null,
        urlSpan: hasUrl ? draft.url : null,
        name: name === '' ? null : name,
        nameSpan: name === '' ? null : draft.name,
        reel,
        reelSpan: reel === null ? null : draft.reel,
        available,
        sourceIsMediaTime: available === null,
        rate,
        rateSpan: rate === null ? null : draft.rate,
      },
      offset: available?.start ?? ZERO,
    };
  }

  function readAvailable(draft: MediaDraft, rate: Rational | null): TimeRange | null {
    const first = draft.availableStart === null ? null : values.count(draft.availableStart, 'StartTime', null);
    const length = draft.availableDuration === null ? null : values.count(draft.availableDuration, 'Duration', null);
    if (first === null || length === null || rate === null) return null;
    const start = countToSeconds(first.count, rate);
    return { start, end: add(start, countToSeconds(length.count, rate)) };
  }

  function reelAt(place: Span): string | null {
    const name = values.textAt(place);
    if (name === '') log.unreadable(place.start, place.end, 'Reel is empty. Expected: the name of a reel, tape or sound roll.');
    return name === '' || NO_REEL.has(name.toUpperCase()) ? null : name;
  }

  /** An Id as xs:token has it: runs of white space are one blank. */
  function idAt(place: Span): string {
    return values.textAt(place).replace(/[ \t\r\n]+/g, ' ');
  }
}

/** The last part of a URL or path, for showing to people. */
export function fileNameOf(url: string | null): string | null {
  if (url === null) return null;
  const last = url.slice(Math.max(url.lastIndexOf('/'), url.lastIndexOf('\\')) + 1);
  if (last === '') return null;
  try {
    return decodeURIComponent(last);
  } catch {
    // A bare path may hold a per cent sign that starts no escape.
    return last;
  }
}
