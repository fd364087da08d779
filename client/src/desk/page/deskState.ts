/**
 * What the desk knows at one moment, and what each act of a person makes of it. Changed by making a new one.
 *
 * Where the sound belongs is worked out exactly by server/src/sound/desk; here stands only what was chosen.
 */

import {
  add,
  compare,
  equals,
  formatRational,
  isZero,
  negate,
  ONE,
  parseRational,
  type Rational,
  rational,
  round,
  subtract,
  toNumber,
  ZERO,
} from '../../../../server/src/core/time/rational.ts';
import type { DeskPair, DeskPicture, DeskSound } from '../../../../server/src/core/views/clapDesk.ts';
import type { DeskAnswer, DeskChange, DeskClap, DeskRecording } from '../../../../server/src/lsp/clapDeskMessages.ts';
import type { FrameReading } from '../../../../server/src/sound/clapLog/contactInterval.ts';
import {
  type DeskChoice,
  type DeskPlacement,
  frameAtSample,
  missingIn,
  placementOf,
  type StandingPair,
} from '../../../../server/src/sound/desk/deskPlacement.ts';
import type { FrameCounting } from '../../../../server/src/sound/desk/frameEntry.ts';
import type { PagePeaks, RememberedChoice, Wanted } from '../deskMessages.ts';
import type { DeskView } from './deskView.ts';

/** A picture and a sound looked at together. */
export interface Subject {
  readonly picture: DeskPicture;
  readonly sound: DeskSound;
  /** Index among the report's pairs; null when the report has none of the two. */
  readonly pairIndex: number | null;
  readonly pair: DeskPair | null;
  readonly standing: StandingPair | null;
  readonly rate: Rational;
  readonly sampleRate: Rational;
  readonly driftPpm: Rational;
  readonly counting: FrameCounting;
}

/** A clap as it is offered: heard by the finder, listed in the report, or both. */
export interface ClapItem {
  readonly sample: Rational;
  /** In samples; null where only the report tells of it. */
  readonly uncertainty: number | null;
  /** Number in the report's list, from 1; null for one that is not in it. */
  readonly number: number | null;
  readonly isClap: boolean;
  readonly reason: string;
}

export interface DeskState {
  readonly answer: DeskAnswer | null;
  readonly notice: { readonly words: string; readonly canOpen: boolean } | null;
  readonly subject: Subject | null;
  readonly choice: DeskChoice;
  readonly reading: FrameReading;
  readonly shutterDegrees: Rational | null;
  readonly view: DeskView | null;
  readonly channel: number | null;
  readonly recording: { readonly file: string; readonly facts: DeskRecording } | null;
  /** What is to be said about the two files. */
  readonly soundWords: string;
  readonly pictureWords: string;
  readonly heard: readonly DeskClap[];
  /** From 0 to 1; null when nothing is searched. */
  readonly search: number | null;
  readonly searchWords: string;
  /** False: there is more of the recording to listen to, and a person has to ask for it. */
  readonly isAllHeard: boolean;
  readonly overview: PagePeaks | null;
  readonly detail: PagePeaks | null;
  readonly written: string;
}

const NO_CHOICE: DeskChoice = { standing: null, seen: null, edge: null, edgeMoved: ZERO, nudge: ZERO };

/** What is known of the two files before either was opened. */
export const NO_FILES = {
  view: null,
  channel: null,
  recording: null,
  soundWords: '',
  pictureWords: '',
  heard: [] as readonly DeskClap[],
  search: null,
  searchWords: '',
  isAllHeard: true,
  overview: null,
  detail: null,
};

export const EMPTY_STATE: DeskState = {
  answer: null,
  notice: null,
  subject: null,
  choice: NO_CHOICE,
  reading: 'first-closed',
  shutterDegrees: null,
  ...NO_FILES,
  written: '',
};

/** The pair meant, else the first; a picture and a sound without a pair, where those are named. Null in a report without either. */
function subjectOf({ report }: DeskAnswer, wanted: Wanted): Subject | null {
  const { pairs } = report;
  const fits = ({ picture, sound }: DeskPair): boolean =>
    (wanted.picture === null || wanted.picture === picture) && (wanted.sound === null || wanted.sound === sound);
  const byIndex = wanted.pair === null ? undefined : pairs[wanted.pair];
  const pairIndex = byIndex !== undefined && fits(byIndex) ? (wanted.pair as number) : pairs.findIndex(fits);
  const pair = pairs[pairIndex] ?? null;
  const picture = report.pictures.find(({ key }) => key === (pair?.picture ?? wanted.picture)) ?? report.pictures[0];
  const sound = report.sounds.find(({ key }) => key === (pair?.sound ?? wanted.sound)) ?? report.sounds[0];
  if (picture === undefined || sound === undefined) return null;
  const rate = exact(picture.rate);
  return {
    picture,
    sound,
    pairIndex: pair === null ? null : pairIndex,
    pair,
    standing: pair === null ? null : standingOf(pair, sound),
    rate,
    sampleRate: exact(sound.sampleRate),
    driftPpm: pair === null ? ZERO : exact(pair.driftPpm),
    counting: {
      rate,
      isDropFrame: picture.isDropFrame,
      startFrame: picture.startFrame === null ? null : exact(picture.startFrame),
      frameCount: picture.frameCount === null ? null : exact(picture.frameCount),
    },
  };
}

function standingOf(pair: DeskPair, { claps, sampleRate }: DeskSound): StandingPair {
  const { frame, early, late, by, clap } = pair;
  const sample = exact(pair.sample);
  const near = toNumber(exact(sampleRate)) * toNumber(SAME_CLAP_SECONDS);
  const isListed = claps.some((one) => Math.abs(toNumber(exact(one)) - toNumber(sample)) <= near);
  return {
    frame: exact(frame),
    sample,
    uncertaintyEarly: exact(early),
    uncertaintyLate: exact(late),
    by,
    isEdge: isListed || by === 'clap' || by === 'eye' || clap !== null,
  };
}

/** Another version of the report: what was chosen stays chosen, on the pair as it stands now. */
export function withAnswer(state: DeskState, answer: DeskAnswer, wanted: Wanted | null): DeskState {
  const before = state.subject;
  const keep: Wanted = {
    pair: before?.pairIndex ?? null,
    picture: before?.picture.key ?? null,
    sound: before?.sound.key ?? null,
  };
  const subject = subjectOf(answer, wanted ?? keep);
  const isSame = before !== null && subject !== null && sameSubject(before, subject);
  const standing = subject?.standing ?? null;
  const choice = isSame ? { ...state.choice, standing } : { ...NO_CHOICE, standing };
  return { ...state, answer, notice: null, subject, choice, written: isSameTwo(before, subject) ? state.written : '' };
}

function isSameTwo(left: Subject | null, right: Subject | null): boolean {
  return left?.picture.key === right?.picture.key && left?.sound.key === right?.sound.key;
}

export function sameSubject(left: Subject, right: Subject): boolean {
  return left.picture.key === right.picture.key && left.sound.key === right.sound.key && left.pairIndex === right.pairIndex;
}

/** Where the sound lies by what was chosen; null as long as nothing says so. */
export function placementIn({ subject, choice }: DeskState): DeskPlacement | null {
  return subject === null ? null : placementOf(choice, subject.rate, subject.sampleRate);
}

/**
 * Where the frames are drawn: the placement, else a guess by the time stamps, else the first frame at the first clap. A guess is looked at
 * and never written.
 */
export function gridOf(
  state: DeskState,
): { readonly frame: Rational; readonly sample: Rational; readonly isGuess: boolean } | null {
  const { subject, choice } = state;
  if (subject === null) return null;
  const placement = placementIn(state);
  if (placement !== null) return { ...placement, isGuess: false };
  const sample = choice.edge?.sample ?? clapsOf(state).find(({ isClap }) => isClap)?.sample ?? ZERO;
  if (choice.seen !== null) return { frame: choice.seen.frame, sample, isGuess: true };
  const { startFrame } = subject.counting;
  const { startSample } = subject.sound;
  if (startFrame === null || startSample === null) return { frame: ZERO, sample, isGuess: true };
  const stamped = { frame: negate(startFrame), sample: negate(exact(startSample)) };
  const frame = frameAtSample(sample, stamped, subject.rate, subject.sampleRate, ZERO);
  return { frame: rational(round(compare(frame, ZERO) < 0 ? ZERO : frame)), sample, isGuess: true };
}

/** The edge as chosen, moved by hand or not; the report's where its sample is one; null where there is none yet. */
export function edgeSampleIn({ choice }: DeskState): Rational | null {
  const { edge, standing, edgeMoved } = choice;
  const sample = edge?.sample ?? (standing?.isEdge === true ? standing.sample : null);
  return sample === null ? null : add(sample, edgeMoved);
}

/** What is looked at and listened to: the edge, else the first clap. Null where there is neither. */
export function clapSampleIn(state: DeskState): Rational | null {
  return edgeSampleIn(state) ?? clapsOf(state).find(({ isClap }) => isClap)?.sample ?? null;
}

/** Samples that count as one clap: two milliseconds. */
const SAME_CLAP_SECONDS = rational(2, 1000);

/** Claps in order: what was heard, with its number in the report, and what only the report tells of. */
export function clapsOf({ subject, heard }: DeskState): readonly ClapItem[] {
  if (subject === null) return [];
  const near = toNumber(subject.sampleRate) * toNumber(SAME_CLAP_SECONDS);
  const listed = subject.sound.claps.map(exact);
  const found = heard.map((clap): ClapItem => {
    const at = listed.findIndex((sample) => Math.abs(toNumber(sample) - clap.sample) <= near);
    const written = listed[at];
    // A report may tell parts of a sample; they stand while they lie within the doubt of what was heard.
    const isFiner = written !== undefined && Math.abs(toNumber(written) - clap.sample) <= Math.max(1, clap.uncertainty);
    return {
      sample: isFiner ? written : rational(clap.sample),
      uncertainty: clap.uncertainty,
      number: at === -1 ? null : at + 1,
      isClap: clap.isClap || at !== -1,
      reason: clap.reason,
    };
  });
  const unheard = listed.flatMap((sample, at): ClapItem[] =>
    found.some(({ number }) => number === at + 1)
      ? []
      : [{ sample, uncertainty: null, number: at + 1, isClap: true, reason: 'Listed in the report.' }],
  );
  return [...found, ...unheard].sort((left, right) => compare(left.sample, right.sample));
}

/** The edge of a clap that was heard or is listed. */
export function withClap(state: DeskState, clap: ClapItem): DeskState {
  const uncertainty = clap.uncertainty === null ? ONE : rational(Math.ceil(clap.uncertainty * 100), 100);
  return changed(state, { edge: { sample: clap.sample, uncertainty, isFound: true }, edgeMoved: ZERO });
}

/** An edge put by a person; `doubt` in samples is what the eye can tell at this zoom, one sample at least. */
export function withEdgeAt(state: DeskState, sample: number, doubt: number): DeskState {
  const count = state.recording?.facts.sampleCount ?? sample + 1;
  const at = rational(Math.min(Math.max(0, Math.round(sample)), Math.max(0, count - 1)));
  return changed(state, {
    edge: { sample: at, uncertainty: rational(Math.max(1, Math.ceil(doubt))), isFound: false },
    edgeMoved: ZERO,
  });
}

export function withFrame(state: DeskState, frame: Rational): DeskState {
  const { subject, reading, shutterDegrees } = state;
  if (subject === null) return state;
  const last = subject.counting.frameCount === null ? null : subtract(subject.counting.frameCount, ONE);
  const bounded = compare(frame, ZERO) < 0 ? ZERO : last !== null && compare(frame, last) > 0 ? last : frame;
  return changed(state, { seen: { frame: bounded, reading, shutterDegrees }, nudge: ZERO });
}

/** The frame picked, else the whole frame at the clap by what is placed, or guessed. */
export function pickedFrame(state: DeskState): Rational | null {
  const { seen } = state.choice;
  if (seen !== null) return seen.frame;
  const frame = frameOfClap(state);
  return frame === null ? null : rational(round(frame));
}

/** The frame, with its fraction, at which the clap is heard. */
function frameOfClap(state: DeskState): Rational | null {
  const { subject } = state;
  const grid = gridOf(state);
  if (subject === null || grid === null) return null;
  const sample = clapSampleIn(state) ?? grid.sample;
  return frameAtSample(sample, grid, subject.rate, subject.sampleRate, subject.driftPpm);
}

export function stepFrame(state: DeskState, frames: number): DeskState {
  const picked = pickedFrame(state);
  return picked === null ? state : withFrame(state, add(picked, rational(frames)));
}

/** Frames and parts of them by which the sound is heard later. */
export function withNudge(state: DeskState, frames: Rational): DeskState {
  return placementIn(state) === null ? state : changed(state, { nudge: add(state.choice.nudge, frames) });
}

/** Samples by which the edge, or what the report has in its place, lies later in the recording; it never leaves the recording. */
export function withEdgeMoved(state: DeskState, samples: number): DeskState {
  const { edge, standing, edgeMoved } = state.choice;
  const sample = edge?.sample ?? standing?.sample;
  if (sample === undefined) return state;
  const next = add(add(sample, edgeMoved), rational(samples));
  const count = state.recording?.facts.sampleCount ?? null;
  if (compare(next, ZERO) < 0 || (count !== null && compare(next, rational(count)) >= 0)) return state;
  return changed(state, { edgeMoved: add(edgeMoved, rational(samples)) });
}

export function withReading(state: DeskState, reading: FrameReading, shutterDegrees: Rational | null): DeskState {
  const { seen } = state.choice;
  const next = { ...state, reading, shutterDegrees };
  return seen === null ? next : changed(next, { seen: { ...seen, reading, shutterDegrees } });
}

/** As the report has it. */
export function withoutChoice(state: DeskState): DeskState {
  return changed(state, { seen: null, edge: null, edgeMoved: ZERO, nudge: ZERO });
}

function changed(state: DeskState, change: Partial<DeskChoice>): DeskState {
  return { ...state, choice: { ...state.choice, ...change }, written: '' };
}

/** True when something was chosen that the report does not say. */
export function isChanged({ choice }: DeskState): boolean {
  return choice.seen !== null || choice.edge !== null || !isZero(choice.edgeMoved) || !isZero(choice.nudge);
}

/** What would be written; else the reason why nothing can be, as a sentence. */
export function changeOf(state: DeskState): { readonly change: DeskChange } | { readonly why: string } {
  const { subject, choice } = state;
  const placement = placementIn(state);
  if (subject === null) return { why: 'There is no pair.' };
  const missing = missingIn(choice);
  if (missing === 'frame') return { why: 'First pick the frame in which the hands meet.' };
  if (missing === 'edge' || placement === null) return { why: 'Now pick the clap in the recording, or put its edge by hand.' };
  if (!isChanged(state)) return { why: 'Nothing was changed: this is what the report says.' };
  return {
    change: {
      pair: subject.pairIndex,
      picture: subject.picture.key,
      sound: subject.sound.key,
      frame: formatRational(placement.frame),
      sample: formatRational(placement.sample),
      early: placement.isDoubtKnown ? formatRational(placement.uncertaintyEarly) : null,
      late: placement.isDoubtKnown ? formatRational(placement.uncertaintyLate) : null,
      by: placement.by,
      clap: clapNumber(state),
    },
  };
}

/** The clap of the report's list that the edge is; the pair's own number while its edge was not changed for another. */
function clapNumber(state: DeskState): number | null {
  const { choice, subject } = state;
  if (choice.edge === null) return subject?.pair?.clap ?? null;
  const { sample } = choice.edge;
  return clapsOf(state).find((clap) => equals(clap.sample, sample))?.number ?? null;
}

export function rememberedChoice({ choice }: DeskState): RememberedChoice | null {
  const { seen, edge } = choice;
  return {
    seen:
      seen === null
        ? null
        : {
            frame: formatRational(seen.frame),
            reading: seen.reading,
            shutter: seen.shutterDegrees === null ? null : formatRational(seen.shutterDegrees),
          },
    edge: edge === null ? null : { ...edge, sample: formatRational(edge.sample), uncertainty: formatRational(edge.uncertainty) },
    edgeMoved: formatRational(choice.edgeMoved),
    nudge: formatRational(choice.nudge),
  };
}

export function withRemembered(state: DeskState, kept: RememberedChoice | null): DeskState {
  if (kept === null) return state;
  const { seen, edge } = kept;
  const reading = (seen?.reading ?? state.reading) as FrameReading;
  const shutterDegrees = seen === null || seen.shutter === null ? null : exact(seen.shutter);
  return changed(
    { ...state, reading, shutterDegrees },
    {
      seen: seen === null ? null : { frame: exact(seen.frame), reading, shutterDegrees },
      edge: edge === null ? null : { ...edge, sample: exact(edge.sample), uncertainty: exact(edge.uncertainty) },
      edgeMoved: exact(kept.edgeMoved),
      nudge: exact(kept.nudge),
    },
  );
}

/** The server writes exact numbers; one that is none would be its fault, and counts as 0. */
export function exact(text: string): Rational {
  return parseRational(text) ?? ZERO;
}

/** The clap on which the edge lies, by what was chosen or by the report; null for an edge moved or put by hand. */
export function chosenClap(state: DeskState): ClapItem | null {
  const { edge, standing, edgeMoved } = state.choice;
  const sample = edge?.sample ?? standing?.sample;
  if (sample === undefined || !isZero(edgeMoved) || edge?.isFound === false) return null;
  // A report may have it a few samples from where it was heard here.
  const near = edge === null ? toNumber(SAME_CLAP_SECONDS) * toNumber(state.subject?.sampleRate ?? ONE) : 1;
  return clapsOf(state).find((clap) => Math.abs(toNumber(clap.sample) - toNumber(sample)) < near) ?? null;
}

/** The frames of the picture within which the hands met, for drawing; null where nothing is placed. */
export function contactOf(state: DeskState): { readonly from: number; readonly to: number } | null {
  const placed = placementIn(state);
  const clap = frameOfClap(state);
  if (placed === null || clap === null || state.subject === null || clapSampleIn(state) === null) return null;
  const rate = toNumber(state.subject.rate);
  const frame = toNumber(clap);
  return { from: frame - toNumber(placed.uncertaintyLate) * rate, to: frame + toNumber(placed.uncertaintyEarly) * rate };
}
