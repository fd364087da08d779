/**
 * What sound-leads, sound-lags and sound-drifts share: one finding for a comparison that is out, on the number that slips
 * the sound clip, with the picture clip and the report's pair beside it.
 */

import { type ExactTolerance, toleranceInSeconds } from '../alignment/tolerance.ts';
import { amountOfTime, lagAtBothEnds, lagInWords } from '../text/words.ts';
import { compare, maximum, minimum, negate, type Rational, subtract, ZERO } from '../time/rational.ts';
import { causeOf } from './cause.ts';
import { isUnitSpeed } from './compareClips.ts';
import type { Comparison, Verdict } from './comparison.ts';
import type { AuditContext } from './context.ts';
import type { Finding, Fix } from './finding.ts';
import { draft, type FindingDraft } from './rule.ts';
import { slipFix, slipRecordingFix } from './slip.ts';

/** The findings of all comparisons with one verdict, speed differences left to the rule that names them. */
export function* offsetFindings(context: AuditContext, verdict: Verdict): Generator<FindingDraft> {
  for (const comparison of context.comparisons) {
    if (comparison.verdict === verdict && !isRetimedApart(context, comparison)) yield offsetFinding(context, comparison);
  }
}

/** The fixes of an offset finding, best first. */
export function offsetFixes(context: AuditContext, finding: Finding): readonly Fix[] {
  const soundClip = finding.clips[0];
  const fix = soundClip === undefined ? null : slipFix(context, soundClip);
  return fix === null ? [] : [fix];
}

/** Fixes that reach past the finding: every clip of its recording that is out. */
export function offsetGroupFixes(context: AuditContext, finding: Finding): readonly Fix[] {
  const [soundClip] = finding.clips;
  const sound = soundClip === undefined ? null : (context.clips[soundClip]?.sound ?? null);
  const fix = sound === null || soundClip === undefined ? null : slipRecordingFix(context, sound, soundClip);
  return fix === null ? [] : [fix];
}

/** True when picture and sound run at different speeds, which speed-mismatch reports. */
export function isRetimedApart(context: AuditContext, comparison: Comparison): boolean {
  const picture = context.timeline.clips[comparison.pictureClip];
  const sound = context.timeline.clips[comparison.soundClip];
  if (picture?.speed.kind !== 'constant' || sound?.speed.kind !== 'constant') return true;
  if (isUnitSpeed(picture) && isUnitSpeed(sound)) return false;
  return compare(picture.speed.scalar, sound.speed.scalar) !== 0;
}

function offsetFinding(context: AuditContext, comparison: Comparison): FindingDraft {
  const { timeline } = context;
  const { pair, lag } = comparison;
  const pictureClip = timeline.clips[comparison.pictureClip];
  const soundClip = timeline.clips[comparison.soundClip];
  if (pictureClip === undefined || soundClip === undefined) throw new RangeError('a comparison of clips that do not exist');
  const tolerance = toleranceInSeconds(context.settings.tolerance, timeline.rate, pair.sound.sampleRate);
  const beyond = beyondTolerance(comparison, tolerance);
  const cause = causeOf(context, comparison);
  const isLowered = isWithinUncertainty(comparison, tolerance);
  const sentences = [
    headline(context, comparison),
    `That is ${amountOfTime(maximum(beyond.lead, beyond.lag))} beyond what is allowed (${toleranceInWords(tolerance)}).`,
  ];
  if (isLowered) sentences.push(uncertaintySentence(comparison));
  if (cause !== null) sentences.push(`Likely cause: ${cause}.`);
  sentences.push(adviceFor(comparison.verdict));
  return draft({
    message: sentences.join(' '),
    place: { file: null, span: soundClip.start?.span ?? soundClip.nameSpan ?? soundClip.span },
    related: [
      {
        file: null,
        span: pictureClip.start?.span ?? pictureClip.nameSpan ?? pictureClip.span,
        message: `the picture: '${pictureClip.name}' (${pair.picture.key})`,
      },
      { file: pair.file, span: pair.span, message: `the report's pair of ${pair.picture.key} and ${pair.sound.key}` },
    ],
    picture: pair.picture.key,
    sound: pair.sound.key,
    lag,
    cause,
    clips: [soundClip.index, pictureClip.index],
    isLowered,
  });
}

function headline(context: AuditContext, comparison: Comparison): string {
  const { rate } = context.timeline;
  const { pair, lag, verdict } = comparison;
  if (verdict !== 'drifts') {
    const worst = verdict === 'leads' ? minimum(lag.head, lag.tail) : maximum(lag.head, lag.tail);
    return `Sound ${pair.sound.key} ${lagInWords(worst, rate, pair.sound.sampleRate)} against picture ${pair.picture.key}.`;
  }
  return `Sound ${pair.sound.key} drifts against picture ${pair.picture.key}: ${lagAtBothEnds(lag)}, over ${amountOfTime(subtract(comparison.record.end, comparison.record.start))}.`;
}

function adviceFor(verdict: Verdict): string {
  switch (verdict) {
    case 'leads':
      return 'Slip the sound to start earlier in its recording, so that it is heard later.';
    case 'lags':
      return 'Slip the sound to start later in its recording, so that it is heard earlier.';
    case 'drifts':
      return 'Slip it so that it never leads, cut it into shorter parts, or take the drift out of the recording.';
    case 'in':
      return '';
  }
}

/** How far the worse end is past the tolerance on each side; zero where it is not. */
function beyondTolerance(comparison: Comparison, tolerance: ExactTolerance): ExactTolerance {
  const { head, tail } = comparison.lag;
  return {
    lead: maximum(ZERO, subtract(negate(minimum(head, tail)), tolerance.lead)),
    lag: maximum(ZERO, subtract(maximum(head, tail), tolerance.lag)),
  };
}

/**
 * A lead shrinks when the sound's true instant is later than the report says, a lag when it is earlier. The violation is in
 * doubt when that could take away all of it.
 */
export function isWithinUncertainty(comparison: Comparison, tolerance: ExactTolerance): boolean {
  const beyond = beyondTolerance(comparison, tolerance);
  return isSmaller(beyond.lead, comparison.pair.uncertaintyLate) && isSmaller(beyond.lag, comparison.pair.uncertaintyEarly);
}

/** Zero counts as smaller: that side is not violated. */
function isSmaller(violation: Rational, uncertainty: Rational): boolean {
  return compare(violation, ZERO) === 0 || compare(violation, uncertainty) < 0;
}

function uncertaintySentence(comparison: Comparison): string {
  const { uncertaintyEarly, uncertaintyLate } = comparison.pair;
  return `The report can't tell for sure: its clap may lie ${amountOfTime(uncertaintyEarly)} earlier or ${amountOfTime(uncertaintyLate)} later, so this counts one step less.`;
}

function toleranceInWords(tolerance: ExactTolerance): string {
  return `leads by up to ${amountOfTime(tolerance.lead)}, lags by up to ${amountOfTime(tolerance.lag)}`;
}
