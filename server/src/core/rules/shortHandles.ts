/**
 * short-handles: less media beyond the cut than the mix asks for. Off until a project says how much that is.
 */

import { amountOfTime, listInWords } from '../text/words.ts';
import { countToSeconds } from '../time/rate.ts';
import { compare, divide, type Rational, rational, subtract } from '../time/rational.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import { mediaRange } from './mediaRange.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

/** Asked for where a project turns the rule on and names no length: one second, the least that mixing rooms ask. */
const DEFAULT_HANDLE = rational(1);

export const shortHandles: Rule = {
  code: 'short-handles',
  defaultSeverity: 'off',
  documentation: {
    title: 'Short handles',
    what: 'A sound clip has less of its recording before its head or after its tail than `handles` in afterclap.json asks for (1 s where it asks for nothing).',
    why: 'The mix needs sound beyond the cut for fades and for moving the cut. Rooms ask for one second up to thirty.',
    whatToDo:
      'Nothing can be done to a recording that starts too late; say so in the hand-off. Where the cut merely starts early in a long file, nothing is wrong.',
    sources: ['common practice: facility delivery sheets ask from 1 s to 20 s, some for whole takes'],
  },
  check: handleFindings,
};

function* handleFindings(context: AuditContext): Generator<FindingDraft> {
  const wanted = wantedHandle(context);
  for (const resolved of context.clips) {
    const { clip } = resolved;
    if (clip.role !== 'sound' || !clip.isEnabled || clip.doubt !== null || resolved.sound === null) continue;
    const range = mediaRange(resolved);
    if (range === null) continue;
    const short: string[] = [];
    if (compare(range.start, wanted) < 0) short.push(`${amountOfTime(range.start)} before its head`);
    if (range.fileEnd !== null) {
      const tail = subtract(range.fileEnd, range.end);
      if (compare(tail, wanted) < 0) short.push(`${amountOfTime(tail)} after its tail`);
    }
    if (short.length > 0) yield handleFinding(resolved, short, wanted);
  }
}

function handleFinding({ clip, sound }: ResolvedClip, short: readonly string[], wanted: Rational): FindingDraft {
  return draft({
    message: `${sound?.key} has only ${listInWords(short)}; the mix asks for ${amountOfTime(wanted)}. Say so in the hand-off if the recording holds no more.`,
    place: { file: null, span: clip.start?.span ?? clip.nameSpan ?? clip.span },
    sound: sound?.key ?? null,
    clips: [clip.index],
  });
}

function wantedHandle({ settings, timeline }: AuditContext): Rational {
  const { handles } = settings;
  if (handles === null) return DEFAULT_HANDLE;
  switch (handles.unit) {
    case 's':
      return handles.value;
    case 'ms':
      return divide(handles.value, rational(1000));
    case 'f':
      return countToSeconds(handles.value, timeline.rate);
    case 'smp':
      return countToSeconds(handles.value, rational(48000));
  }
}
