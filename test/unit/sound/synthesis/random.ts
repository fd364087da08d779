/** Numbers that look random and are the same on every run: each invented recording is named by its seed. */

export interface Random {
  /** Uniform in [low, high). */
  uniform(low: number, high: number): number;
  /** Normal with mean 0 and deviation 1. */
  normal(): number;
  /** A whole number in [low, high]. */
  whole(low: number, high: number): number;
  pick<T>(choices: readonly T[]): T;
  /** A generator of its own, so that adding one part to a scene leaves the others as they were. */
  branch(name: string): Random;
}

export function seededRandom(seed: number | string): Random {
  let state = typeof seed === 'number' ? seed >>> 0 : hash(seed);
  const origin = state;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  let spare: number | null = null;
  const random: Random = {
    uniform: (low, high) => low + (high - low) * next(),
    normal: () => {
      if (spare !== null) {
        const value = spare;
        spare = null;
        return value;
      }
      const radius = Math.sqrt(-2 * Math.log(1 - next()));
      const angle = 2 * Math.PI * next();
      spare = radius * Math.sin(angle);
      return radius * Math.cos(angle);
    },
    whole: (low, high) => low + Math.floor((high - low + 1) * next()),
    pick: (choices) => choices[Math.floor(choices.length * next())] as (typeof choices)[number],
    branch: (name) => seededRandom(hash(`${origin}/${name}`)),
  };
  return random;
}

function hash(text: string): number {
  let value = 0x811c9dc5;
  for (let index = 0; index < text.length; index += 1) value = Math.imul(value ^ text.charCodeAt(index), 0x01000193) >>> 0;
  return value;
}
