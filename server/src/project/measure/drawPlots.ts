/**
 * A plot for each pair, while its recordings are still open.
 */

import { renderMatchPlot } from '../../core/report/plots/matchPlot.ts';
import type { MeasuredPair, Measurement } from './measurement.ts';
import type { OpenPicture, OpenSound } from './openRecordings.ts';
import { plotData } from './plotData.ts';

export interface Plot {
  /** Made of the keys of picture and sound, fit for any disk. */
  readonly fileName: string;
  readonly svg: string;
}

export async function drawPlots(
  measurement: Measurement,
  sounds: readonly OpenSound[],
  pictures: readonly OpenPicture[],
  isCancelled: () => boolean,
): Promise<readonly Plot[]> {
  const plots: Plot[] = [];
  const names = new Set<string>();
  for (const picture of measurement.pictures) {
    const pairs = measurement.pairs.filter(({ data }) => data.picture === picture.data.key);
    const scratch = pairs.some(({ waveform }) => waveform !== null)
      ? (pictures.find(({ path }) => path === picture.path)?.scratch ?? null)
      : null;
    // Opened once more, since it was closed as soon as it was compared.
    const opened = (await scratch?.open({ onProgress: () => {}, isCancelled })) ?? null;
    try {
      for (const pair of pairs) {
        if (isCancelled()) return plots;
        const sound = measurement.sounds.find(({ data }) => data.key === pair.data.sound);
        const soundSource = sounds.find(({ path }) => path === sound?.path)?.source;
        if (sound === undefined || soundSource === undefined) continue;
        const scratchSource = opened?.ok === true ? opened.value : null;
        const svg = renderMatchPlot(await plotData({ pair, picture, sound, soundSource, scratchSource }));
        plots.push({ fileName: plotName(pair, names), svg });
      }
    } finally {
      if (opened?.ok === true) await opened.close();
    }
  }
  return plots;
}

function plotName({ data }: MeasuredPair, taken: Set<string>): string {
  const stem = `${data.picture}--${data.sound}`.replace(/[^\p{L}\p{N}._-]/gu, '_');
  let name = `${stem}.svg`;
  for (let number = 2; taken.has(name); number += 1) name = `${stem}-${number}.svg`;
  taken.add(name);
  return name;
}
