/**
 * How much of the workspace uses one entry of a report, as one sentence: 'Used by 4 clips in 2 timelines.'
 */

import type { Page } from './page.ts';

export interface UseCount {
  readonly clipCount: number;
  readonly timelineCount: number;
  /** Files that were not looked into, because the search ran out of time. */
  readonly unseenCount: number;
}

export function useSentence({ clipCount, timelineCount, unseenCount }: UseCount): string {
  const rest = unseenCount === 0 ? '' : ` ${counted(unseenCount, 'more file')} not looked into yet.`;
  if (clipCount === 0) return `${unseenCount === 0 ? 'No clip of this workspace uses it.' : 'Not used so far.'}${rest}`;
  const atLeast = unseenCount === 0 ? '' : 'at least ';
  return `Used by ${atLeast}${counted(clipCount, 'clip')} in ${counted(timelineCount, 'timeline')}.${rest}`;
}

/** The page with the sentence behind its headline. */
export function withUses(page: Page, uses: UseCount): Page {
  const [headline, ...rest] = page;
  const sentence = { kind: 'text', text: useSentence(uses) } as const;
  return headline === undefined ? [sentence] : [headline, sentence, ...rest];
}

function counted(count: number, unit: string): string {
  return `${count} ${unit}${count === 1 ? '' : 's'}`;
}
