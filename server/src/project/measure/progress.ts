/**
 * How far a measurement is, in one number that grows evenly enough to tell the time left.
 *
 * Each step is given a weight beforehand, in seconds of sound that have to be gone through; that is what work costs here.
 */

export interface Progress {
  /** From 0 to 1, over everything. */
  readonly share: number;
  /** What is being done: 'finding claps in DECK_0012.wav'. */
  readonly step: string;
}

export interface ProgressPlan {
  /** Begins a step and answers how to tell its own share, from 0 to 1; telling 1 ends it. */
  readonly begin: (step: string, weight: number) => (share: number) => void;
  /** Work that lies ahead. When it turns out later than at the start, the share stands still for a while, and never goes back. */
  readonly expect: (weight: number) => void;
}

export function progressPlan(onProgress: (progress: Progress) => void): ProgressPlan {
  let expected = 0;
  let done = 0;
  let shown = 0;
  return {
    expect: (weight) => {
      expected += weight;
    },
    begin: (step, weight) => {
      let told = 0;
      const tell = (share: number): void => {
        const now = Math.max(told, Math.min(1, share));
        done += (now - told) * weight;
        told = now;
        shown = Math.max(shown, expected > 0 ? Math.min(1, done / expected) : 0);
        onProgress({ share: shown, step });
      };
      tell(0);
      return tell;
    },
  };
}
