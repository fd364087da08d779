/**
 * sound-doubled: one recording heard twice at once at two different lags.
 *
 * Found without any picture: clips of one recording on sound tracks that overlap in record time and are not the same moment.
 */

import type { SoundEntry } from '../alignment/model.ts';
import { amountInSamples, amountOfTime } from '../text/words.ts';
import { absolute, compare, isZero, type Rational, subtract } from '../time/rational.ts';
import { hasOneLag, mediaTimeAt } from './compareClips.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import { groupBy } from './groupBy.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

/** Further apart than this it is an echo on purpose, a montage or a wild line, not a doubled track. */
const FARTHEST_APART: Rational = { numerator: 1, denominator: 1 };

export const soundDoubled: Rule = {
  code: 'sound-doubled',
  defaultSeverity: 'warning',
  documentation: {
    title: 'One recording is heard twice',
    what: 'Two sound clips of the same recording play at once, less than a second apart and not at the same moment.',
    why: 'Two copies a little apart cancel and add by frequency (comb filtering): the voice turns hollow. It happens when one of two channels was slipped and the other left.',
    whatToDo: 'Slip one of them so that both play the same moment, or disable one.',
    sources: ['comb filtering of a sum with its delayed copy, first cancellation at 1/(2 x delay): common practice'],
  },
  check: doubledFindings,
};

function* doubledFindings(context: AuditContext): Generator<FindingDraft> {
  const audible = context.clips.filter(
    ({ clip, sound }) => clip.role === 'sound' && clip.isEnabled && clip.doubt === null && sound !== null && hasOneLag(clip),
  );
  for (const [sound, clips] of groupBy(audible, (resolved) => resolved.sound)) {
    if (sound !== null) yield* doubledOf(context, sound, clips);
  }
}

function* doubledOf(context: AuditContext, sound: SoundEntry, clips: readonly ResolvedClip[]): Generator<FindingDraft> {
  const inOrder = [...clips].sort(
    (left, right) => compare(left.clip.record.start, right.clip.record.start) || left.clip.index - right.clip.index,
  );
  let active: ResolvedClip[] = [];
  for (const later of inOrder) {
    active = active.filter((earlier) => compare(earlier.clip.record.end, later.clip.record.start) > 0);
    // One finding a clip is enough, however many copies play under it.
    const copy = active.find((earlier) => isDoubled(earlier, later));
    if (copy !== undefined) yield doubledFinding(context, sound, copy, later);
    active.push(later);
  }
}

function isDoubled(earlier: ResolvedClip, later: ResolvedClip): boolean {
  const apart = absolute(apartAt(earlier, later));
  return !isZero(apart) && compare(apart, FARTHEST_APART) < 0 && earlier.clip.textGroup !== later.clip.textGroup;
}

function apartAt(earlier: ResolvedClip, later: ResolvedClip): Rational {
  const { start } = later.clip.record;
  return subtract(mediaTimeAt(later, start), mediaTimeAt(earlier, start));
}

function doubledFinding(context: AuditContext, sound: SoundEntry, earlier: ResolvedClip, later: ResolvedClip): FindingDraft {
  const apart = apartAt(earlier, later);
  const otherTrack = context.timeline.tracks[earlier.clip.track]?.name ?? '';
  return draft({
    message: `${sound.key} is heard twice at once, ${amountOfTime(apart)} apart (${amountInSamples(apart, sound.sampleRate)}): here and on ${otherTrack}. Likely cause: one channel was slipped and the other left. Slip one so that both play the same moment, or disable one.`,
    place: { file: null, span: later.clip.start?.span ?? later.clip.span },
    related: [
      {
        file: null,
        span: earlier.clip.start?.span ?? earlier.clip.span,
        message: `the other copy: '${earlier.clip.name}' on ${otherTrack}`,
      },
    ],
    sound: sound.key,
    clips: [later.clip.index, earlier.clip.index],
  });
}
