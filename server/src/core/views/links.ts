/**
 * Places in a text that name other files: media of clips and of report entries, reports in the settings.
 *
 * Only names are collected here; whether there is such a file is for the edge to find out.
 */

import type { AlignmentReport } from '../alignment/model.ts';
import type { Settings } from '../alignment/settings.ts';
import type { Audit } from '../audit.ts';
import type { Span } from '../text/span.ts';

export interface FileName {
  readonly span: Span;
  /** Path or URL as written. */
  readonly path: string;
}

export function mediaLinks({ timeline }: Audit): readonly FileName[] {
  const links = new Map<number, FileName>();
  for (const { media } of timeline.clips) {
    if (media.url !== null && media.urlSpan !== null) links.set(media.urlSpan.start, { span: media.urlSpan, path: media.url });
  }
  return [...links.values()].sort((left, right) => left.span.start - right.span.start);
}

export function entryLinks({ pictures, sounds }: AlignmentReport): readonly FileName[] {
  return [...pictures, ...sounds].flatMap(({ names }) => names.map(({ text, span }) => ({ span: inQuotes(span), path: text })));
}

export function reportLinks({ alignment }: Settings): readonly FileName[] {
  return (alignment ?? []).map(({ path, span }) => ({ span: inQuotes(span), path }));
}

function inQuotes({ start, end }: Span): Span {
  return end - start >= 2 ? { start: start + 1, end: end - 1 } : { start, end };
}
