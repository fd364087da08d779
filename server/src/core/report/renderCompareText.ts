/**
 * A review of two versions for a person at a terminal.
 */

import type { CutReview } from '../review/reviewCut.ts';
import type { Painter } from './painter.ts';
import { type PlaceNames, placeNames } from './placeNames.ts';
import { type ReviewLine, reviewPage } from './reviewPage.ts';
import { visibleText } from './visibleText.ts';
import { wrapText } from './wrapText.ts';

/** How the two versions are called, and against what they were held. */
export interface ReviewNames {
  /** Unlike each other: places are told by them. */
  readonly old: string;
  readonly now: string;
  /** Which reports were used and why; a sentence for people. */
  readonly reportReason: string;
}

export interface CompareTextOptions extends ReviewNames {
  readonly width: number;
  readonly painter: Painter;
}

export function renderCompareText(review: CutReview, options: CompareTextOptions): string {
  const { painter } = options;
  const page = reviewPage(review);
  const places = reviewPlaces(review, options);
  const lines = [
    `${painter.strong(visibleText(options.old))} -> ${painter.strong(visibleText(options.now))}`,
    ...wrapText(visibleText(options.reportReason), options.width - 2).map((line) => `  ${painter.faint(line)}`),
    '',
    painter.strong(page.headline),
    ...page.timeline.flatMap((text) => wrapText(text, options.width)),
    ...section('Sound against its picture', page.sync, places, options),
    ...section('Findings that appeared', page.appeared, places, options),
    ...section('Findings that went away', page.gone, places, options),
    ...section('Findings accepted now', page.silenced, places, options),
    ...section('Moved as a block', page.blocks, places, options),
    ...section('Clips', page.clips, places, options),
  ];
  if (!page.isEmpty) lines.push('', page.rest);
  return `${lines.join('\n')}\n`;
}

/** `path:line:column` of a line of the review. */
export function reviewPlaces(review: CutReview, names: ReviewNames): (line: ReviewLine) => string {
  const reports = [...review.old.input.reports, ...review.now.input.reports].map(({ file, text }) => [file, text] as const);
  const places: PlaceNames = placeNames(
    new Map([...reports, [names.old, review.old.input.text], [names.now, review.now.input.text]]),
  );
  return ({ place: { side, file, span } }) => places.name(file ?? (side === 'old' ? names.old : names.now), span);
}

function section(
  title: string,
  items: readonly ReviewLine[],
  placeOf: (line: ReviewLine) => string,
  { painter, width }: CompareTextOptions,
): readonly string[] {
  if (items.length === 0) return [];
  const lines = ['', painter.strong(title)];
  for (const item of items) {
    const label =
      item.label === null
        ? ''
        : `: ${item.severity === null ? '' : painter.severity(item.severity, item.severity)} ${painter.strong(item.label)}`;
    lines.push(`  ${painter.place(placeOf(item))}${label}`);
    lines.push(...wrapText(visibleText(item.text), Math.max(40, width - 4)).map((line) => `    ${line}`));
  }
  return lines;
}
