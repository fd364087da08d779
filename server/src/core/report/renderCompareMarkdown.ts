/**
 * A review of two versions as Markdown, for a comment on a pull request.
 *
 * What concerns sync stands open; long lists of clips are folded. Hosts take about 65,000 characters in a comment, so lists are cut
 * before that, and what was left out is said.
 */

import type { CutReview } from '../review/reviewCut.ts';
import { type ReviewNames, reviewPlaces } from './renderCompareText.ts';
import { type ReviewLine, reviewPage } from './reviewPage.ts';
import { visibleText } from './visibleText.ts';

const LARGEST_COMMENT = 60_000;
/** Lists longer than this are folded. */
const LONGEST_OPEN_LIST = 8;

export function renderCompareMarkdown(review: CutReview, names: ReviewNames): string {
  const page = reviewPage(review);
  const placeOf = reviewPlaces(review, names);
  const head = [
    `### Sync review: ${code(names.old)} → ${code(names.now)}`,
    '',
    `**${escaped(page.headline)}**`,
    ...page.timeline.flatMap((text) => ['', escaped(text)]),
  ];
  const budget: Budget = { left: LARGEST_COMMENT - head.join('\n').length - 500 };
  const lines = [
    ...head,
    ...syncTable(page.sync, placeOf, budget),
    ...list('Findings that appeared', page.appeared, placeOf, budget),
    ...list('Findings that went away', page.gone, placeOf, budget),
    ...list('Findings accepted now', page.silenced, placeOf, budget),
    ...list('Moved as a block', page.blocks, placeOf, budget),
    ...list('Clips', page.clips, placeOf, budget),
    ...(page.isEmpty ? [] : ['', escaped(page.rest)]),
    '',
    `<sub>${escaped(names.reportReason)}</sub>`,
  ];
  return `${lines.join('\n')}\n`;
}

interface Budget {
  left: number;
}

function syncTable(
  rows: ReturnType<typeof reviewPage>['sync'],
  placeOf: (line: ReviewLine) => string,
  budget: Budget,
): readonly string[] {
  if (rows.length === 0) return [];
  const rowOf = (line: (typeof rows)[number]): string => {
    const { sound, picture, before, after, verdict } = line.row;
    const cells = [
      escaped(sound),
      escaped(picture),
      escaped(before),
      `**${escaped(after)}**`,
      escaped(verdict),
      code(placeOf(line)),
    ];
    return `| ${cells.join(' | ')} |`;
  };
  return [
    '',
    '| sound | picture | before | now | verdict | where |',
    '|:--|:--|:--|:--|:--|:--|',
    ...within(budget, rows, rowOf, (count) => ['', `… and ${count} more; \`afterclap compare\` prints them all.`]),
  ];
}

function list(
  title: string,
  items: readonly ReviewLine[],
  placeOf: (line: ReviewLine) => string,
  budget: Budget,
): readonly string[] {
  if (items.length === 0) return [];
  const lineOf = (item: ReviewLine): string => {
    const label = item.label === null ? '' : `**${item.label}**${item.severity === null ? '' : ` (${item.severity})`}: `;
    return `- ${label}${escaped(item.text)} ${code(placeOf(item))}`;
  };
  const shown = within(budget, items, lineOf, (count) => [`- … and ${count} more; \`afterclap compare\` prints them all.`]);
  if (items.length <= LONGEST_OPEN_LIST) return ['', `**${title}**`, '', ...shown];
  return ['', `<details><summary><b>${title}</b> (${items.length})</summary>`, '', ...shown, '', '</details>'];
}

function within<Item>(
  budget: Budget,
  items: readonly Item[],
  lineOf: (item: Item) => string,
  remark: (count: number) => readonly string[],
): readonly string[] {
  const shown: string[] = [];
  for (const item of items) {
    const line = lineOf(item);
    if (line.length + 1 > budget.left) return [...shown, ...remark(items.length - shown.length)];
    budget.left -= line.length + 1;
    shown.push(line);
  }
  return shown;
}

/** Every character that Markdown, its tables or HTML could take for its own. */
function escaped(text: string): string {
  return visibleText(text).replace(/[\\`*_{}[\]<>#|~@]/g, '\\$&');
}

/** In backticks, which end no sooner than they should. */
function code(text: string): string {
  const shown = visibleText(text).replaceAll('|', '\\|');
  const longest = Math.max(0, ...(shown.match(/`+/g) ?? []).map(({ length }) => length));
  const fence = '`'.repeat(longest + 1);
  return longest === 0 ? `${fence}${shown}${fence}` : `${fence} ${shown} ${fence}`;
}
