/**
 * record-overlap: two clips on one channel at the same record time. Only one of them can be heard or seen, and formats
 * disagree on which.
 */

import { amountInFrames } from '../text/words.ts';
import { compare, minimum, subtract } from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import type { AuditContext } from './context.ts';
import { groupBy } from './groupBy.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const recordOverlap: Rule = {
  code: 'record-overlap',
  defaultSeverity: 'warning',
  documentation: {
    title: 'Two clips on one channel at once',
    what: 'Two events of an edit list use the same channel at the same record time.',
    why: 'In a list in recording order the later event replaces the earlier one; other readers keep the first, or mix both. What is checked here may not be what is heard.',
    whatToDo: 'Clean the list, so that each channel holds one event at a time, and check again.',
    sources: ['a later event records over an earlier one: common practice'],
  },
  check: overlapFindings,
};

function* overlapFindings(context: AuditContext): Generator<FindingDraft> {
  // Only an edit list can place two clips of one track at one time; the other formats play a track's clips in turn.
  if (context.timeline.format !== 'edl') return;
  for (const [track, clips] of groupBy(context.timeline.clips, (clip) => clip.track)) {
    const name = context.timeline.tracks[track]?.name ?? '';
    const inOrder = [...clips].sort((left, right) => compare(left.record.start, right.record.start) || left.index - right.index);
    let latest: Clip | null = null;
    for (const clip of inOrder) {
      if (latest !== null && isBefore(clip.record.start, latest.record.end) && isBefore(clip.record.start, clip.record.end)) {
        yield overlapFinding(context, name, latest, clip);
      }
      if (latest === null || isBefore(latest.record.end, clip.record.end)) latest = clip;
    }
  }
}

function overlapFinding(context: AuditContext, track: string, earlier: Clip, later: Clip): FindingDraft {
  const shared = subtract(minimum(earlier.record.end, later.record.end), later.record.start);
  const marked = later.index > earlier.index ? later : earlier;
  const other = marked === later ? earlier : later;
  return draft({
    message: `Two events stand on ${track} at once for ${amountInFrames(shared, context.timeline.rate)}: '${earlier.name}' and '${later.name}'. In recording order the later one replaces the earlier. Clean the list so that the channel holds one event at a time.`,
    place: { file: null, span: marked.nameSpan ?? marked.span },
    related: [{ file: null, span: other.nameSpan ?? other.span, message: `the other event: '${other.name}'` }],
    clips: [marked.index, other.index],
  });
}

function isBefore(left: Clip['record']['start'], right: Clip['record']['start']): boolean {
  return compare(left, right) < 0;
}
