/**
 * What a page gives to the ear: every sound that it puts on the audio clock, and when. Taken down where the page hands it to the browser,
 * whose part begins there (Web Audio API 1.1, AudioBufferSourceNode.start: `offset` of the buffer is heard at `when`).
 */

import type { Page } from 'playwright-core';

export interface HeardSound {
  /** Seconds on the audio clock at which the first of the samples is heard. */
  readonly when: number;
  readonly samples: Float32Array;
  readonly sampleRate: number;
}

/** From now on; the answer brings what was started since it was last asked. */
export async function takeDownSounds(page: Page): Promise<() => Promise<readonly HeardSound[]>> {
  await page.evaluate(() => {
    const listener = globalThis as unknown as Listener;
    listener.heard = [];
    const { prototype } = listener.AudioBufferSourceNode;
    const { start } = prototype;
    prototype.start = function (when: number, offset = 0) {
      const { sampleRate } = this.buffer;
      const samples = this.buffer.getChannelData(0).slice(Math.round(offset * sampleRate));
      listener.heard.push({ when, sampleRate, samples });
      start.call(this, when, offset);
    };
  });
  return async () => {
    const taken = await page.evaluate(() => {
      const listener = globalThis as unknown as Listener;
      const sounds = listener.heard.map(({ when, sampleRate, samples }) => ({ when, sampleRate, samples: Array.from(samples) }));
      listener.heard = [];
      return sounds;
    });
    return taken.map(({ samples, ...rest }) => ({ ...rest, samples: Float32Array.from(samples) }));
  };
}

/**
 * How much later `other` is heard than `one`, in samples at `sampleRate`, where both are the same sound: the shift at which they are
 * most alike, tried one by one within `reach`. What is held against the other is as much around the loudest place: the clap.
 */
export function heardLater(
  one: readonly HeardSound[],
  other: readonly HeardSound[],
  { sampleRate, reach }: { readonly sampleRate: number; readonly reach: number },
): number {
  const begin = Math.min(...[...one, ...other].map(({ when }) => when));
  const [left, right] = [laidOut(one, begin, sampleRate), laidOut(other, begin, sampleRate)];
  const loudest = left.reduce((known, value, at) => (Math.abs(value) > Math.abs(left[known] as number) ? at : known), 0);
  const [from, to] = [Math.max(0, loudest - reach), Math.min(left.length, loudest + reach)];
  let best = { shift: 0, likeness: Number.NEGATIVE_INFINITY };
  for (let shift = -reach; shift <= reach; shift += 1) {
    let likeness = 0;
    for (let at = from; at < to; at += 1) likeness += (left[at] as number) * (right[at + shift] ?? 0);
    if (likeness > best.likeness) best = { shift, likeness };
  }
  return best.shift;
}

function laidOut(sounds: readonly HeardSound[], begin: number, sampleRate: number): Float32Array {
  const placed = sounds.map((sound) => ({ ...sound, at: Math.round((sound.when - begin) * sampleRate) }));
  const all = new Float32Array(Math.max(...placed.map(({ at, samples }) => at + samples.length)));
  for (const { at, samples } of placed) all.set(samples, at);
  return all;
}

/** The browser's own, of which only the page knows. */
interface Listener {
  heard: { readonly when: number; readonly sampleRate: number; readonly samples: Float32Array }[];
  readonly AudioBufferSourceNode: { readonly prototype: SourceNode };
}

interface SourceNode {
  readonly buffer: { readonly sampleRate: number; readonly getChannelData: (channel: number) => Float32Array };
  start: (this: SourceNode, when: number, offset?: number) => void;
}
