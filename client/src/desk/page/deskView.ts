/**
 * What part of the recording is seen, in samples from its first. Floats, since it is only looked at.
 */

export interface DeskView {
  readonly start: number;
  readonly end: number;
}

/** The narrowest view, in samples: single samples can be told apart. */
const LEAST_SAMPLES = 40;

export function wholeView(sampleCount: number): DeskView {
  return { start: 0, end: Math.max(1, sampleCount) };
}

/** `seconds` around a sample, the sample a little before the middle, since a clap is a rise and what follows it. */
export function viewAround(sample: number, seconds: number, sampleRate: number, sampleCount: number): DeskView {
  const length = seconds * sampleRate;
  return fitted({ start: sample - length * 0.45, end: sample + length * 0.55 }, sampleCount);
}

/** A view `factor` times as wide, with the sample at `share` of its width staying where it is. */
export function zoomed(view: DeskView, factor: number, share: number, sampleCount: number): DeskView {
  const width = view.end - view.start;
  const next = Math.min(Math.max(width * factor, Math.min(LEAST_SAMPLES, sampleCount)), Math.max(sampleCount, LEAST_SAMPLES));
  const fixed = view.start + width * share;
  return fitted({ start: fixed - next * share, end: fixed + next * (1 - share) }, sampleCount);
}

/** Moved by a share of its width. */
export function moved(view: DeskView, share: number, sampleCount: number): DeskView {
  const step = (view.end - view.start) * share;
  return fitted({ start: view.start + step, end: view.end + step }, sampleCount);
}

/** The same view where it holds the sample with some room, else one moved there. */
export function showing(view: DeskView, sample: number, sampleCount: number): DeskView {
  const width = view.end - view.start;
  const share = (sample - view.start) / width;
  if (share >= 0.1 && share <= 0.9) return view;
  return fitted({ start: sample - width * 0.45, end: sample + width * 0.55 }, sampleCount);
}

/** A view reaches beyond the recording by half its width at most: the clap may be its first sample. */
function fitted({ start, end }: DeskView, sampleCount: number): DeskView {
  const width = end - start;
  if (width >= sampleCount) return wholeView(sampleCount);
  const first = Math.min(Math.max(start, -width / 2), sampleCount - width / 2);
  return { start: first, end: first + width };
}
