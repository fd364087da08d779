/** What is said about one sharp sound in a recording. */

export interface ClapCandidate {
  /** Sample of the leading edge: the first one that reaches a tenth of the peak of the first arrival. */
  readonly sample: number;
  /**
   * Where between `sample - 1` and `sample` the level passes that tenth, as a position in samples. For placing finer than a sample;
   * it means little where the room's noise is near the threshold.
   */
  readonly crossing: number;
  /** How far the true edge may lie from `sample`, in samples, judged by the noise and by the steepness of the rise. */
  readonly edgeUncertainty: number;
  /** Channel, counted from 0, in which it was judged. */
  readonly channel: number;
  /** Largest magnitude of the first arrival; full scale is 1. */
  readonly peak: number;
  /** Decibels that the sound rises within two milliseconds. */
  readonly sharpness: number;
  /** Decibels of the peak above the level of the room just before. */
  readonly aboveRoomDb: number;
  /** From 0, surely not a clap, to 1, surely one. */
  readonly score: number;
  /** Where in the recording: its first third, its last, or between. */
  readonly position: 'head' | 'middle' | 'tail';
  readonly verdict: 'clap' | 'refused';
  /** One sentence for people: what speaks for it or against it. */
  readonly reason: string;
}

export interface ClapReading {
  /** All candidates by sample: every clap, and the refused ones that came nearest to being one. */
  readonly candidates: readonly ClapCandidate[];
  /** Refused sounds beyond those listed. */
  readonly unlistedCount: number;
  /** What is wrong with the recording as a whole, for instance silence, or samples that are no numbers. */
  readonly remarks: readonly string[];
}
