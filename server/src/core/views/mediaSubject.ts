/**
 * What media a place in a text is about, and where else the same media stands: clips of timelines, entries and pairs of
 * reports.
 *
 * Media that a report knows is the same where the entry is the same, whatever the clips are called. Media that no report
 * knows is the same where its file name is, without regard to case.
 */

import { comparableName, fileNamesOfUrl } from '../alignment/mediaNames.ts';
import type { AlignmentReport, PictureEntry, SoundEntry } from '../alignment/model.ts';
import type { Audit } from '../audit.ts';
import { type Span, touches } from '../text/span.ts';
import type { Clip } from '../timeline/model.ts';
import { clipsAt } from './clipAt.ts';

export type MediaSubject =
  /** An entry of a report, by the file the report calls itself and its key. */
  | { readonly kind: 'entry'; readonly file: string; readonly key: string }
  /** Media that no report knows, by its comparable name. */
  | { readonly kind: 'name'; readonly name: string };

/** Null between clips, and for clips that name no media. */
export function subjectAt(result: Audit, offset: number): MediaSubject | null {
  const [clip] = clipsAt(result.timeline, offset);
  return clip === undefined ? null : subjectOf(result, clip);
}

function subjectOf({ context }: Audit, clip: Clip): MediaSubject | null {
  const resolved = context.clips[clip.index];
  const entry = resolved?.picture ?? resolved?.sound ?? null;
  if (entry !== null) return { kind: 'entry', file: entry.file, key: entry.key };
  const name = comparableName(mediaName(clip) ?? '');
  return name === '' ? null : { kind: 'name', name };
}

/** The media's name as a person would say it; null for generators and clips without media. */
export function mediaName({ media }: Clip): string | null {
  if (media.kind === 'generator') return null;
  const file = media.url === null ? undefined : fileNamesOfUrl(media.url)[0];
  return file ?? media.name ?? media.reel;
}

/** The characters by which a person knows a clip: its name, else the number that places it. */
export function placeOfClip({ nameSpan, start, media, span }: Clip): Span {
  return nameSpan ?? start?.span ?? media.urlSpan ?? media.reelSpan ?? { start: span.start, end: span.start };
}

/** An entry or pair side under the caret; null elsewhere in a report. */
export function reportEntryAt(report: AlignmentReport, offset: number): PictureEntry | SoundEntry | null {
  for (const { picture, sound, span, soundSpan } of report.pairs) {
    // Anywhere in a pair its picture is meant, except on the sound.
    if (touches(span, offset)) return touches(soundSpan, offset) ? sound : picture;
  }
  return [...report.pictures, ...report.sounds].find(({ span }) => touches(span, offset)) ?? null;
}

/** Where a report names an entry: its key, and every pair it takes part in. */
export function entryPlaces(
  report: AlignmentReport,
  key: string,
): { readonly declaration: Span | null; readonly uses: readonly Span[] } {
  const entry = [...report.pictures, ...report.sounds].find((candidate) => candidate.key === key);
  const uses = report.pairs.flatMap(({ picture, sound, pictureSpan, soundSpan }) => [
    ...(picture.key === key ? [pictureSpan] : []),
    ...(sound.key === key ? [soundSpan] : []),
  ]);
  return { declaration: entry?.keySpan ?? null, uses };
}

/** Clips of one text that show or play the media, one for each text group, in text order. */
export function clipsOf(result: Audit, isMeant: (subject: MediaSubject) => boolean): readonly Clip[] {
  const found: Clip[] = [];
  let group = -1;
  for (const clip of result.timeline.clips) {
    if (clip.textGroup === group) continue;
    const subject = subjectOf(result, clip);
    if (subject === null || !isMeant(subject)) continue;
    group = clip.textGroup;
    found.push(clip);
  }
  return found;
}
