/**
 * Finding names by a few letters of them, as people type in a search box: the letters in their order, whatever stands between.
 */

import type { AlignmentReport } from '../alignment/model.ts';
import type { Audit } from '../audit.ts';
import type { Span } from '../text/span.ts';
import { mediaName, placeOfClip } from './mediaSubject.ts';
import type { SymbolKind } from './symbols.ts';

export interface NamedPlace {
  readonly kind: SymbolKind;
  readonly name: string;
  /** What it stands in, or what else it is called. */
  readonly container: string;
  readonly span: Span;
}

/** Clips by their own name or their media's; one event on several channels once. */
export function namesInTimeline({ timeline }: Audit, query: string): readonly NamedPlace[] {
  const found: NamedPlace[] = [];
  let group = -1;
  for (const clip of timeline.clips) {
    if (clip.textGroup === group) continue;
    group = clip.textGroup;
    const media = mediaName(clip) ?? '';
    const names = [...new Set([clip.name, media, clip.media.reel ?? ''])].filter((name) => name !== '');
    if (!names.some((name) => matches(query, name))) continue;
    const container = [...names.filter((name) => name !== clip.name), timeline.tracks[clip.track]?.name ?? ''].join(', ');
    found.push({ kind: 'clip', name: clip.name === '' ? media : clip.name, container, span: placeOfClip(clip) });
  }
  return found;
}

export function namesInReport({ pictures, sounds, file }: AlignmentReport, query: string): readonly NamedPlace[] {
  const kinds = [
    ['picture', pictures],
    ['sound', sounds],
  ] as const;
  return kinds.flatMap(([kind, entries]) =>
    entries
      .filter(({ key, names }) => [key, ...names.map(({ text }) => text)].some((name) => matches(query, name)))
      .map(({ key, names, keySpan }) => ({ kind, name: key, container: names[0]?.text ?? file, span: keySpan })),
  );
}

/** True when the letters of `query` stand in `name` in their order, without regard to case. An empty query is everywhere. */
export function matches(query: string, name: string): boolean {
  const wanted = query.toLowerCase();
  const text = name.toLowerCase();
  let at = 0;
  for (const letter of wanted) {
    at = text.indexOf(letter, at) + 1;
    if (at === 0) return false;
  }
  return true;
}
