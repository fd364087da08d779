/**
 * The coding history of a reel: what happened to the sound, one line for each step (EBU R 98-1999).
 *
 * `A=PCM,F=48000,W=24,M=mono,T=free text`. The free text holds no commas, since those part the fields. What an earlier program wrote
 * stays in front.
 */

import type { ReelLayout } from './reel.ts';

/** `earlier` is the recording's own history; empty when it has none. */
export function codingHistory(
  earlier: string,
  { sampleRate, format, channelCount }: ReelLayout,
  steps: readonly string[],
): string {
  const mode = channelCount === 1 ? ['M=mono'] : channelCount === 2 ? ['M=stereo'] : [];
  const text = steps.map((step) => step.replaceAll(/[,\r\n]+/g, ' ')).join('; ');
  const line = ['A=PCM', `F=${sampleRate}`, `W=${format.validBits}`, ...mode, `T=${text}`].join(',');
  const before = earlier.replace(/\0[\s\S]*$/, '').trim();
  const lines = before === '' ? [line] : [...before.split(/\r\n|\r|\n/), line];
  return lines.map((one) => `${one}\r\n`).join('');
}
