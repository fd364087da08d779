/** What is wrong with a recording, in sentences for the person who made it. */

export interface SoundProblem {
  /** Error: no sound can be had from it. Warning: sound can be had, but not all, or not as the file claims. */
  readonly severity: 'error' | 'warning' | 'information';
  readonly message: string;
}
