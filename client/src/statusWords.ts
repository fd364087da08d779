/**
 * The words of the status entries: which report a timeline is held against, and how the check went.
 *
 * 'Nothing found' is a promise, so it is said only where something was compared. Where nothing was, the entry says so and why, and
 * what to do.
 */

import type { TimelineStatus } from '../../server/src/lsp/messages.ts';

/** The entry is one line and cuts off what is longer; its command shows the rest. */
const LONGEST_TEXT = 72;

export function reportText({ reports, reportReason }: TimelineStatus): string {
  if (reports.length === 0) return 'No alignment report, so nothing is compared';
  return reportReason.length <= LONGEST_TEXT ? reportReason : reports.map(({ label }) => label).join(', ');
}

/** Title of the command that says more. */
export function reportCommand({ reports }: TimelineStatus): string {
  return reports.length === 0 ? 'Show why, and what to do' : 'Show why';
}

export function countText(status: TimelineStatus): string {
  const { errorCount, warningCount, informationCount, comparisonCount, clipCount, unreadableCount } = status;
  if (unreadableCount > 0 && clipCount === 0) return "This text can't be read as a timeline";
  const parts = [count(errorCount, 'error'), count(warningCount, 'warning'), count(informationCount, 'note')];
  const shown = parts.filter((part) => part !== null);
  if (shown.length > 0) return shown.join(', ');
  return comparisonCount === 0 ? 'Nothing was compared' : 'Nothing found';
}

export function checkDetail(status: TimelineStatus): string {
  const { comparisonCount, acceptedCount, unreadableCount, clipCount, milliseconds } = status;
  const compared = comparisonCount === 0 ? whyNothing(status) : `${count(comparisonCount, 'pair')} compared`;
  const accepted = acceptedCount === 0 ? '' : `, ${acceptedCount} accepted`;
  // A check of half a text is no check of the cut.
  const unread = clipCount === 0 || unreadableCount === 0 ? '' : `, ${count(unreadableCount, 'place')} not read`;
  return `${compared}${unread}${accepted}, ${Math.max(1, Math.round(milliseconds))} ms`;
}

function whyNothing({ clipCount, unreadableCount, reports }: TimelineStatus): string {
  if (clipCount === 0 && unreadableCount > 0) return 'the first problem says where reading broke off';
  if (clipCount === 0) return 'the timeline holds no clips';
  if (reports.length === 0) return 'no report says which sound belongs to which picture';
  return 'no picture of the report stands over its own sound; the lag chart says why';
}

function count(amount: number, unit: string): string | null {
  if (amount === 0) return null;
  return `${amount} ${unit}${amount === 1 ? '' : 's'}`;
}
