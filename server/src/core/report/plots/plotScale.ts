/**
 * From measured values to places on paper, and the round numbers that stand beside an axis.
 *
 * Rendering only: nothing that is judged goes through these floats.
 */

export interface Scale {
  readonly low: number;
  readonly high: number;
  /** Place of a value; `low` lies at `from`, `high` at `to`. */
  readonly place: (value: number) => number;
}

export function scaleOf(low: number, high: number, from: number, to: number): Scale {
  const span = high - low || 1;
  return { low, high, place: (value) => from + ((value - low) / span) * (to - from) };
}

/** Round values within `low` to `high`, about `count` of them: steps of 1, 2 or 5 times a power of ten. */
export function roundTicks(low: number, high: number, count: number): readonly number[] {
  const step = roundStep((high - low) / Math.max(1, count));
  if (!(step > 0) || !Number.isFinite(step)) return [];
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => (first + index) * step);
}

/** Decimals that tell neighbouring ticks apart, and no more. */
export function tickText(value: number, ticks: readonly number[]): string {
  const step = ticks.length > 1 ? Math.abs((ticks[1] as number) - (ticks[0] as number)) : Math.abs(value);
  const decimals = step > 0 ? Math.max(0, Math.min(6, Math.ceil(-Math.log10(step) - 1e-9))) : 0;
  const text = Math.abs(value).toFixed(decimals);
  return Number(text) === 0 ? '0' : text;
}

function roundStep(atLeast: number): number {
  const power = 10 ** Math.floor(Math.log10(atLeast));
  const factor = [1, 2, 5, 10].find((candidate) => candidate * power >= atLeast * (1 - 1e-9)) ?? 10;
  return factor * power;
}
