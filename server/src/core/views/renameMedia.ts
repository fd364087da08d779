/**
 * Where the name of a media file is written, and how each place spells it, so that all of them can be given another.
 *
 * Only the characters of the name change: folders, escapes, quotes and everything else stay. A place that spells the name in
 * a way that can't be written back with certainty is handed out as unsure, and then nothing at all should be renamed.
 */

import { comparableName, fileNamesOfUrl } from '../alignment/mediaNames.ts';
import type { AlignmentReport } from '../alignment/model.ts';
import type { Audit } from '../audit.ts';
import { type Span, textOf, touches } from '../text/span.ts';
import type { TextEdit } from '../text/textEdit.ts';
import type { FormatId, Media } from '../timeline/model.ts';

export interface NamePlace {
  readonly span: Span;
  readonly name: string;
  /** How the name is written there; null where that is unsure. */
  readonly write: ((name: string) => string) | null;
  /** True for reels of an edit list, which hold no blanks. */
  readonly isColumn: boolean;
}

/** Every place of a timeline that names media, in text order, each once. */
export function timelineNames(result: Audit): readonly NamePlace[] {
  const places = new Map<number, NamePlace>();
  for (const { media } of result.timeline.clips) {
    for (const place of namesOf(result.input.text, result.input.format, media)) places.set(place.span.start, place);
  }
  return [...places.values()].sort((left, right) => left.span.start - right.span.start);
}

/** Every name and key of a report's entries, and the keys in its pairs. */
export function reportNames(report: AlignmentReport): readonly NamePlace[] {
  const places = [...report.pictures, ...report.sounds].flatMap(({ key, keySpan, names }) => [
    jsonPlace(report.text, keySpan, key),
    ...names.map(({ text, span }) => jsonPlace(report.text, span, text)),
  ]);
  const uses = report.pairs.flatMap(({ picture, sound, pictureSpan, soundSpan }) => [
    jsonPlace(report.text, pictureSpan, picture.key),
    jsonPlace(report.text, soundSpan, sound.key),
  ]);
  return [...places, ...uses].sort((left, right) => left.span.start - right.span.start);
}

/** The name under the caret; null elsewhere. */
export function nameAt(places: readonly NamePlace[], offset: number): NamePlace | null {
  return places.find(({ span }) => touches(span, offset)) ?? null;
}

export interface Renaming {
  readonly edits: readonly TextEdit[];
  /** Places that name the same media in a spelling that can't be written back with certainty. */
  readonly unsure: readonly Span[];
}

export function renameIn(places: readonly NamePlace[], name: string, newName: string): Renaming {
  const wanted = comparableName(name);
  const meant = places.filter((place) => comparableName(place.name) === wanted);
  return {
    edits: meant.flatMap(({ span, write }) => (write === null ? [] : [{ span, newText: write(newName) }])),
    unsure: meant.flatMap(({ span, write, isColumn }) => (write === null || (isColumn && /\s/.test(newName)) ? [span] : [])),
  };
}

/** Why this can't be the name of a file, as a sentence; null when it can. */
export function nameTrouble(newName: string): string | null {
  if (newName.trim() === '') return 'A media name must not be empty.';
  if (/[/\\]/.test(newName)) return 'A media name holds no slash: it is the last part of a path.';
  return /\p{Cc}/u.test(newName) ? 'A media name holds no line break and no other control character.' : null;
}

function* namesOf(text: string, format: FormatId, media: Media): Generator<NamePlace> {
  const isEdl = format === 'edl';
  if (media.url !== null && media.urlSpan !== null && format !== 'cpl') yield urlPlace(text, format, media.url, media.urlSpan);
  if (media.name !== null && media.nameSpan !== null) yield plainPlace(text, format, media.name, media.nameSpan, false);
  if (media.reel !== null && media.reelSpan !== null) yield plainPlace(text, format, media.reel, media.reelSpan, isEdl);
}

function plainPlace(text: string, format: FormatId, name: string, span: Span, isColumn: boolean): NamePlace {
  const isSure = textOf(text, span) === escapedFor(format, name);
  return { span, name, write: isSure ? (newName) => escapedFor(format, newName) : null, isColumn };
}

function urlPlace(text: string, format: FormatId, url: string, whole: Span): NamePlace {
  const written = textOf(text, whole);
  const start = Math.max(written.lastIndexOf('/'), written.lastIndexOf('\\')) + 1;
  const span = { start: whole.start + start, end: whole.end };
  const last = written.slice(start);
  const [name = last] = fileNamesOfUrl(url);
  const hasScheme = /^[a-z][a-z0-9+.-]+:/i.test(url);
  if (hasScheme && last === escapedFor(format, encodeURIComponent(name))) {
    return { span, name, write: (newName) => escapedFor(format, encodeURIComponent(newName)), isColumn: false };
  }
  return {
    span,
    name,
    write: last === escapedFor(format, name) ? (newName) => escapedFor(format, newName) : null,
    isColumn: false,
  };
}

function jsonPlace(text: string, quoted: Span, name: string): NamePlace {
  const span = { start: quoted.start + 1, end: quoted.end - 1 };
  const isSure = textOf(text, span) === escapedFor('otio', name);
  return { span, name, write: isSure ? (newName) => escapedFor('otio', newName) : null, isColumn: false };
}

function escapedFor(format: FormatId, name: string): string {
  if (format === 'otio') return JSON.stringify(name).slice(1, -1);
  if (format === 'edl') return name;
  return name.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}
