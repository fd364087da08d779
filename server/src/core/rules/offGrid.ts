/**
 * off-grid: a position between frames in a place that only holds frames, or that the chosen grid would round.
 *
 * A position that misses a whole number by less than a millionth is the noise of a conversion in doubles and is left alone.
 */

import { amountOfTime, decimalText } from '../text/words.ts';
import { countToSeconds, isSampleRate, rateLabel } from '../time/rate.ts';
import {
  absolute,
  ceiling,
  compare,
  formatExactDecimal,
  isInteger,
  type Rational,
  rational,
  round,
  subtract,
} from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import type { AuditContext } from './context.ts';
import type { Finding, Fix } from './finding.ts';
import { floorTo, floorToGrid, gridStep, isOnGrid, unitStep } from './gridStep.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

const CONVERSION_NOISE = rational(1, 1_000_000);

export const offGrid: Rule = {
  code: 'off-grid',
  defaultSeverity: 'warning',
  documentation: {
    title: 'A position between frames',
    what: 'A picture clip starts or ends between two frames, a fraction stands where the format holds whole units, or a sound clip starts off the grid that afterclap.json chooses.',
    why: 'Whoever reads the timeline next rounds it, each in its own way, and the lag changes by up to a frame without anybody having moved anything.',
    whatToDo:
      'Put the position on a whole frame. The quick fix rounds a sound so that it may lag by less than one step but never leads.',
    sources: ['picture shows whole frames only: common practice'],
  },
  check: offGridFindings,
  fixes: offGridFixes,
};

interface OffGrid {
  readonly clip: Clip;
  /** In counts of `clip.start.rate`. */
  readonly count: Rational;
  readonly rounded: Rational;
  readonly step: string;
}

function* offGridFindings(context: AuditContext): Generator<FindingDraft> {
  for (const observation of context.timeline.observations) {
    if (observation.kind !== 'off-grid') continue;
    yield draft({
      message: observation.message,
      place: { file: null, span: observation.span },
      clips: observation.clip === null ? [] : [observation.clip],
    });
  }
  const told = new Set(
    context.timeline.observations.flatMap((observation) => (observation.kind === 'off-grid' ? [observation.span.start] : [])),
  );
  for (const clip of context.timeline.clips) {
    yield* startFinding(context, clip, told);
    yield* lengthFinding(clip, told);
  }
}

function* startFinding(context: AuditContext, clip: Clip, told: ReadonlySet<number>): Generator<FindingDraft> {
  const position = offGridStart(context, clip);
  if (position === null || clip.start === null || told.has(clip.start.span.start)) return;
  const off = countToSeconds(absolute(subtract(position.count, position.rounded)), clip.start.rate);
  yield draft({
    message: `${who(clip)} starts at ${decimalText(absolute(position.count))} (counted at ${rateLabel(clip.start.rate)}), ${amountOfTime(off)} off ${position.step}. Whatever rounds it will move its lag. Put it on a whole step.`,
    place: { file: null, span: clip.start.span },
    clips: [clip.index],
  });
}

/** Only a clip's own length is judged: a clip that stands late because an earlier one is odd is not told again. */
function* lengthFinding(clip: Clip, told: ReadonlySet<number>): Generator<FindingDraft> {
  if (clip.role !== 'picture' || clip.length === null || told.has(clip.length.span.start)) return;
  if (isSampleRate(clip.length.rate) || isWhole(clip.length.count)) return;
  yield draft({
    message: `${who(clip)} is ${decimalText(absolute(clip.length.count))} frames long (at ${rateLabel(clip.length.rate)}), and picture is cut on whole frames. Whatever rounds it moves everything after it on the track. Give it a whole number of frames.`,
    place: { file: null, span: clip.length.span },
    clips: [clip.index],
  });
}

function offGridFixes(context: AuditContext, finding: Finding): readonly Fix[] {
  const clip = finding.clips[0] === undefined ? undefined : context.timeline.clips[finding.clips[0]];
  if (clip === undefined || clip.start === null || clip.start.span.start !== finding.place.span.start) return [];
  const rounded = roundedStart(context, clip);
  if (rounded === null || formatExactDecimal(rounded) === null) return [];
  const moved = countToSeconds(absolute(subtract(clip.start.count, rounded)), clip.start.rate);
  return [
    {
      title: `Put the start of '${clip.name}' on ${decimalText(absolute(rounded))}, ${amountOfTime(moved)} away`,
      isSafe: true,
      isPreferred: true,
      changes: [{ kind: 'set-source-start', clip: clip.index, count: rounded }],
    },
  ];
}

function offGridStart(context: AuditContext, clip: Clip): OffGrid | null {
  if (clip.start === null || !clip.isEnabled) return null;
  const rounded = roundedStart(context, clip);
  if (rounded === null) return null;
  const { grid } = context.settings;
  const step = clip.role === 'sound' && grid !== null ? `the grid of ${grid}` : 'a whole frame';
  return { clip, count: clip.start.count, rounded, step };
}

/** Where the start belongs; null when it is there already or nothing says that it must be on a step. */
function roundedStart(context: AuditContext, clip: Clip): Rational | null {
  const { start } = clip;
  if (start === null) return null;
  if (clip.role === 'picture') {
    if (isSampleRate(start.rate) || isWhole(start.count)) return null;
    // A later picture start makes its sound lag rather than lead.
    return rational(ceiling(start.count));
  }
  const { grid } = context.settings;
  if (grid === null && isWhole(start.count)) return null;
  const unit = unitStep(context, clip.index);
  if (clip.role !== 'sound' || grid === null) return unit === null || isWhole(start.count) ? null : floorTo(start.count, unit);
  const step = gridStep(context, clip.index, grid);
  return isOnGrid(start.count, step, unit) ? null : floorToGrid(start.count, step, unit);
}

function isWhole(count: Rational): boolean {
  if (isInteger(count)) return true;
  return compare(absolute(subtract(count, rational(round(count)))), CONVERSION_NOISE) < 0;
}

function who(clip: Clip): string {
  return `${clip.role === 'sound' ? 'Sound' : 'Picture'} ${clip.name === '' ? 'without a name' : `'${clip.name}'`}`;
}
