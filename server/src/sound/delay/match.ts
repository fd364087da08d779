/**
 * Answers to the question where a camera's scratch sound lies in a recording.
 *
 * A match maps scratch samples to sound samples: what the camera holds at its sample `c` is at the recorder's sample
 * `offsetSamples + c * (sound rate / scratch rate) * (1 + driftPpm / 1e6)`. The offset is negative when the camera started first.
 * Sound is compared with sound: the way from the source to the camera, some milliseconds, is still in it (see air.ts).
 */

export type Match =
  | SoundMatch
  /** The two do not belong together, or nothing can be said; the reason tells which. */
  | { readonly kind: 'no-match'; readonly reason: string }
  /** Several places fit equally, as in music that repeats. */
  | { readonly kind: 'ambiguous'; readonly reason: string; readonly places: readonly Place[] };

export interface SoundMatch {
  readonly kind: 'match';
  /** Sample of the sound, fractions included, at the instant of scratch sample 0. */
  readonly offsetSamples: number;
  /** How much faster the sound's clock counts than the scratch's; 0 where the overlap is too short to tell, see its uncertainty. */
  readonly driftPpm: number;
  /** Half-width of a 95 % interval. */
  readonly driftPpmUncertainty: number;
  /** Half-width of a 95 % interval of the offset in the middle of the overlap, in sound samples. */
  readonly uncertaintySamples: number;
  /** -1 when one of the two is upside down. */
  readonly polarity: 1 | -1;
  /** From 0 to 1. Grows with the number of places that agree, and their share. */
  readonly confidence: number;
  /** The part of the scratch, in its own samples, that the sound covers. */
  readonly overlap: { readonly start: number; readonly end: number };
  readonly windows: readonly MatchWindow[];
  /** Where samples were lost or put in; empty for a take in one piece. Offset and drift are those of the longest piece. */
  readonly jumps: readonly Jump[];
  /** A drift that has a name, for instance a 0.1 % pull; null for ordinary clocks. */
  readonly pull: Pull | null;
  /** What people should know, in sentences. */
  readonly remarks: readonly string[];
}

/** One stretch that was compared. */
export interface MatchWindow {
  /** Its middle, in scratch samples. */
  readonly scratchSample: number;
  /** Where its content was found, in sound samples. */
  readonly soundSample: number;
  /** Distance from the fitted line, in sound samples. */
  readonly residual: number;
  /** Height of the correlation's peak over the deviation of the rest. */
  readonly clarity: number;
  /** Windows of the first half of the test propose a line; those of the second confirm it. */
  readonly role: 'proposes' | 'confirms';
  readonly agrees: boolean;
}

export interface Jump {
  /** It lies between these two scratch samples. */
  readonly after: number;
  readonly before: number;
  /** Sound samples by which the sound is further on after the jump than before; negative when the sound lost some. */
  readonly samples: number;
}

export interface Pull {
  /** `1001/1000` or `1000/1001`, of sound samples to what they should be. */
  readonly ratio: string;
  /** What is left after it: the difference of the clocks. */
  readonly restPpm: number;
}

export interface Place {
  readonly offsetSamples: number;
  readonly confidence: number;
}
