/**
 * What can be folded and how a selection grows: both follow the nesting of the document as a person thinks of it (number,
 * clip, track, stack), not its brackets.
 */

import type { AlignmentReport } from '../alignment/model.ts';
import type { Audit } from '../audit.ts';
import { type Span, touches } from '../text/span.ts';
import type { OutlineNode } from '../timeline/model.ts';

/** Spans to fold, outermost first, so that a client's limit leaves out the innermost. */
export function timelineFolds({ timeline }: Audit): readonly Span[] {
  const folds: Span[] = [];
  let level: readonly OutlineNode[] = timeline.outline;
  while (level.length > 0) {
    for (const { span } of level) folds.push(span);
    level = level.flatMap(({ children }) => children);
  }
  return folds;
}

export function reportFolds({ pictures, sounds, pairs }: AlignmentReport): readonly Span[] {
  return [...pictures, ...sounds, ...pairs].map(({ span }) => span);
}

/** Spans that hold `offset`, innermost first, each larger than the one before, the whole text last. */
export function timelineSelection(result: Audit, offset: number): readonly Span[] {
  const spans: Span[] = [{ start: 0, end: result.input.text.length }];
  let nodes = result.timeline.outline;
  for (;;) {
    const node = nodes.find(({ span }) => touches(span, offset));
    if (node === undefined) break;
    spans.push(node.span);
    const clip = node.clip === null ? undefined : result.timeline.clips[node.clip];
    if (node.children.length === 0 && clip !== undefined) {
      const { start, length, nameSpan, media } = clip;
      spans.push(...holding([start?.span, length?.span, nameSpan, media.urlSpan, media.nameSpan, media.reelSpan], offset));
    } else if (node.nameSpan !== null && touches(node.nameSpan, offset)) {
      spans.push(node.nameSpan);
    }
    nodes = node.children;
  }
  return growing(spans);
}

export function reportSelection(report: AlignmentReport, offset: number): readonly Span[] {
  const spans: Span[] = [{ start: 0, end: report.text.length }];
  for (const { span, keySpan, names } of [...report.pictures, ...report.sounds]) {
    spans.push(...holding([span, keySpan, ...names.map((name) => name.span)], offset));
  }
  for (const { span, pictureSpan, soundSpan, atSpan } of report.pairs) {
    spans.push(...holding([span, pictureSpan, soundSpan, atSpan], offset));
  }
  return growing(spans);
}

function holding(spans: readonly (Span | null | undefined)[], offset: number): readonly Span[] {
  return spans.filter((span): span is Span => span !== null && span !== undefined && touches(span, offset));
}

function growing(spans: readonly Span[]): readonly Span[] {
  const ordered = [...spans].sort((left, right) => left.end - left.start - (right.end - right.start));
  const chain: Span[] = [];
  for (const span of ordered) {
    const last = chain.at(-1);
    const holdsLast = last === undefined || (span.start <= last.start && span.end >= last.end);
    const isLarger = last === undefined || span.end - span.start > last.end - last.start;
    if (holdsLast && isLarger) chain.push(span);
  }
  return chain;
}
