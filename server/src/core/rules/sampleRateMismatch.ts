/**
 * sample-rate-mismatch: sound is counted at another sample rate than its file's.
 */

import type { Change } from '../formats/timelineFormat.ts';
import type { Span } from '../text/span.ts';
import { amountOfTime, decimalText } from '../text/words.ts';
import { isSampleRate, type Rate } from '../time/rate.ts';
import { absolute, divide, equals, multiply, ONE, rational, subtract } from '../time/rational.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import type { Finding, Fix } from './finding.ts';
import { differsByPull, driftPerHour } from './rateConflict.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const sampleRateMismatch: Rule = {
  code: 'sample-rate-mismatch',
  defaultSeverity: 'error',
  documentation: {
    title: 'Sample rates disagree',
    what: 'The timeline counts a recording at another sample rate than the report gives for its file. A difference of exactly 1001/1000 is named as a 0.1 % pull.',
    why: 'A sample number means another instant at another sample rate: 48048 for 48000 is 3.6 s per hour, 44100 for 48000 more than eight per cent.',
    whatToDo:
      "Look at the file's own header (its fmt chunk decides). If the recorder ran pulled on purpose, the whole chain must know; otherwise write the file's sample rate. The quick fix does that; it may change lengths, so it is never part of a fix-all.",
    sources: [
      'pull factor 1001/1000: Rumsey and Watkinson, Digital Interface Handbook, 3rd ed., 6.6.1',
      'nSamplesPerSec of the fmt chunk is what TimeReference counts in: EBU Tech 3285',
    ],
  },
  check: sampleRateFindings,
  fixes: sampleRateFixes,
};

interface WrittenRate {
  readonly rate: Rate;
  readonly rateSpan: Span | null;
  readonly place: Span;
}

function* sampleRateFindings(context: AuditContext): Generator<FindingDraft> {
  for (const resolved of context.clips) {
    const { clip, sound } = resolved;
    if (sound === null || !hasSampleRateConflict(resolved)) continue;
    const wrong = wrongRates(resolved)[0];
    if (wrong === undefined) continue;
    const difference = differsByPull(wrong.rate, sound.sampleRate)
      ? 'a 0.1 % pull'
      : `${decimalText(absolute(percent(wrong.rate, sound.sampleRate)))} per cent`;
    yield draft({
      message: `The timeline counts ${sound.key} at ${hertz(wrong.rate)}, the report says its file has ${hertz(sound.sampleRate)}: ${difference}, ${amountOfTime(driftPerHour(wrong.rate, sound.sampleRate))} in an hour. Look at the file's header; if the recorder ran pulled on purpose, say so to the mix.`,
      place: { file: null, span: wrong.place },
      related: [{ file: sound.file, span: sound.sampleRateSpan, message: `the report's sample rate of ${sound.key}` }],
      sound: sound.key,
      clips: [clip.index],
    });
  }
}

function sampleRateFixes(context: AuditContext, finding: Finding): readonly Fix[] {
  const index = finding.clips[0];
  const resolved = index === undefined ? undefined : context.clips[index];
  if (resolved === undefined || resolved.sound === null) return [];
  const { sampleRate } = resolved.sound;
  const spans = wrongRates(resolved).flatMap(({ rateSpan }) => (rateSpan === null ? [] : [rateSpan]));
  if (spans.length === 0) return [];
  const changes: readonly Change[] = spans.map((span) => ({ kind: 'set-rate', span, rate: sampleRate }));
  return [
    {
      title: `Write ${hertz(sampleRate)} in this clip (its length in seconds changes with it)`,
      isSafe: false,
      isPreferred: false,
      changes,
    },
  ];
}

/** True when the clip's sound is counted at another sample rate than its file's. */
export function hasSampleRateConflict({ clip: { start, length, media }, sound }: ResolvedClip): boolean {
  if (sound === null) return false;
  const isWrong = (rate: Rate): boolean => isSampleRate(rate) && !equals(rate, sound.sampleRate);
  return (
    (start !== null && start.isUnitOnly !== true && isWrong(start.rate)) ||
    (length !== null && length.isUnitOnly !== true && isWrong(length.rate)) ||
    (media.rate !== null && isWrong(media.rate))
  );
}

function wrongRates({ clip, sound }: ResolvedClip): readonly WrittenRate[] {
  if (sound === null) return [];
  const written: WrittenRate[] = [];
  for (const time of [clip.start, clip.length]) {
    if (time !== null && time.isUnitOnly !== true)
      written.push({ rate: time.rate, rateSpan: time.rateSpan, place: time.rateSpan ?? time.span });
  }
  if (clip.media.rate !== null) {
    const { rate, rateSpan } = clip.media;
    written.push({ rate, rateSpan, place: rateSpan ?? clip.media.urlSpan ?? clip.span });
  }
  return written.filter(({ rate }) => isSampleRate(rate) && !equals(rate, sound.sampleRate));
}

function percent(written: Rate, actual: Rate): Rate {
  return multiply(rational(100), subtract(divide(written, actual), ONE));
}

function hertz(rate: Rate): string {
  return `${decimalText(rate)} Hz`;
}
