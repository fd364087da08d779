/**
 * speed-mismatch: picture retimed and its sound not, or not alike.
 *
 * Such clips have no one lag to slip, so they are reported here and not as leads, lags or drift. A speed that runs
 * backwards, stands still or follows an unknown curve is not compared, and that is said.
 */

import { lagAtBothEnds } from '../text/words.ts';
import { compare, divide, equals, ONE, type Rational, rational, sign, toNumber } from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import { hasOneLag, isUnitSpeed, lagOver } from './compareClips.ts';
import type { AuditContext } from './context.ts';
import type { PairedOverlap } from './pairedOverlaps.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const speedMismatch: Rule = {
  code: 'speed-mismatch',
  defaultSeverity: 'warning',
  documentation: {
    title: 'Picture and sound run at different speeds',
    what: 'A picture clip and the sound of its pair are retimed differently: one of them slowed, frozen, reversed or following a curve, the other not.',
    why: 'Sync holds at one instant at most. Slow motion with sound at normal speed may be meant; a retime that was put on the picture alone is a common slip.',
    whatToDo:
      'Retime both alike, cut the sound free of the picture, or accept the finding where the difference is meant. A speed of 24/25 or 1000/1001 on one side only is a pull-up or pull-down: state it to the mix.',
    sources: ['common practice'],
  },
  check: speedFindings,
};

function* speedFindings(context: AuditContext): Generator<FindingDraft> {
  for (const overlap of context.overlaps) {
    const picture = overlap.picture.clip;
    const sound = overlap.sound.clip;
    if (!isRetimedAlike(picture, sound)) yield speedFinding(overlap, picture, sound);
  }
  yield* uncheckedSpeeds(context);
}

/** At one known speed, forward or standing still. */
function isRetimedAlike(picture: Clip, sound: Clip): boolean {
  if (isUnitSpeed(picture) && isUnitSpeed(sound)) return true;
  if (picture.speed.kind !== 'constant' || sound.speed.kind !== 'constant') return false;
  return equals(picture.speed.scalar, sound.speed.scalar) && sign(picture.speed.scalar) >= 0;
}

/** M2 conventions, reversed clips and the like: read with a guess, so a person should know. */
function* uncheckedSpeeds(context: AuditContext): Generator<FindingDraft> {
  for (const observation of context.timeline.observations) {
    if (observation.kind !== 'speed-note') continue;
    yield draft({
      message: observation.message,
      place: { file: null, span: observation.span },
      clips: observation.clip === null ? [] : [observation.clip],
      severity: 'information',
    });
  }
}

function speedFinding(overlap: PairedOverlap, picture: Clip, sound: Clip): FindingDraft {
  const isComparable = hasOneLag(picture) && hasOneLag(sound);
  const lag = isComparable ? lagOver(overlap) : null;
  const sentences = [
    `Picture ${overlap.pair.picture.key} ${speedInWords(picture)}, its sound ${overlap.pair.sound.key} ${speedInWords(sound)}.`,
  ];
  const pull = pullInWords(picture, sound);
  if (pull !== null) sentences.push(`${pull}.`);
  sentences.push(
    lag === null ? 'Their lag was not compared.' : `As cut, ${lagAtBothEnds(lag)}.`,
    'Retime both alike, or accept this where it is meant.',
  );
  const speedSpan = sound.speed.span ?? picture.speed.span;
  return draft({
    message: sentences.join(' '),
    place: { file: null, span: speedSpan ?? sound.start?.span ?? sound.span },
    related: [
      { file: null, span: picture.speed.span ?? picture.nameSpan ?? picture.span, message: `the picture: '${picture.name}'` },
      { file: null, span: sound.nameSpan ?? sound.span, message: `the sound: '${sound.name}'` },
    ],
    picture: overlap.pair.picture.key,
    sound: overlap.pair.sound.key,
    lag,
    cause: pull,
    clips: [sound.index, picture.index],
  });
}

function speedInWords(clip: Clip): string {
  const { speed } = clip;
  if (speed.kind === 'unknown') return `follows a speed that is not known (${speed.reason})`;
  if (sign(speed.scalar) === 0) return 'stands still';
  if (sign(speed.scalar) < 0) return 'runs backwards';
  return equals(speed.scalar, ONE) ? 'runs at normal speed' : `runs at ${percentText(speed.scalar)} of normal speed`;
}

function pullInWords(picture: Clip, sound: Clip): string | null {
  if (picture.speed.kind !== 'constant' || sound.speed.kind !== 'constant') return null;
  if (sign(picture.speed.scalar) <= 0 || sign(sound.speed.scalar) <= 0) return null;
  const ratio = divide(sound.speed.scalar, picture.speed.scalar);
  const known: readonly [Rational, string][] = [
    [rational(1001, 1000), 'The sound runs 0.1 % fast: a pull-up of 1001/1000 (3.6 s per hour)'],
    [rational(1000, 1001), 'The sound runs 0.1 % slow: a pull-down of 1000/1001 (3.6 s per hour)'],
    [rational(25, 24), 'The sound runs at 25/24: sped up from 24 to 25'],
    [rational(24, 25), 'The sound runs at 24/25: slowed from 25 to 24'],
  ];
  // A speed is often written with six decimals; 5 ppm tells the known ratios apart and nothing else near them.
  const width = rational(5, 1_000_000);
  return known.find(([value]) => isWithin(ratio, value, width))?.[1] ?? null;
}

function isWithin(value: Rational, target: Rational, width: Rational): boolean {
  const ratio = divide(value, target);
  const low = rational(BigInt(width.denominator) - BigInt(width.numerator), width.denominator);
  const high = rational(BigInt(width.denominator) + BigInt(width.numerator), width.denominator);
  return compare(ratio, low) >= 0 && compare(ratio, high) <= 0;
}

function percentText(scalar: Rational): string {
  const percent = toNumber(scalar) * 100;
  return `${Number(percent.toFixed(3))} %`;
}
