/**
 * What the clap desk asks of recordings, answered by the sound engine over bytes by ranges.
 */

import type { ByteSource } from '../byteSource.ts';
import { findClaps } from '../claps/findClaps.ts';
import type { Fourier } from '../fourier/fourier.ts';
import { excerptOf, readMixed } from '../peaks/excerpt.ts';
import { readPeaks, watchPeaks } from '../peaks/readPeaks.ts';
import type { SoundSource } from '../soundSource.ts';
import { readWaveHeader } from '../wave/readWaveHeader.ts';
import { waveSource } from '../wave/waveSource.ts';
import type { ClapSearch, ClapsFound, OpenBytes, OpenedBytes, RecordingFacts, Recordings } from './recordings.ts';

export interface DeskDisk {
  readonly open: OpenBytes;
  /** Loaded when the first clap is looked for. */
  readonly fourier: () => Promise<Fourier>;
}

export function createDeskRecordings({ open, fourier }: DeskDisk): Recordings {
  const withSound = async <Answer>(file: string, work: (source: SoundSource) => Promise<Answer>): Promise<Answer | null> => {
    const opened = await openSound(await open(file));
    if (!opened.ok) return null;
    try {
      return await work(opened.source);
    } catch (error) {
      if (opened.hasFailed()) return null;
      throw error;
    } finally {
      await opened.close();
    }
  };
  return {
    facts: async (file): Promise<RecordingFacts> => {
      const opened = await openSound(await open(file));
      if (!opened.ok) return opened;
      await opened.close();
      const { sampleRate, sampleCount, channelCount } = opened.source;
      return { ok: true, sampleRate, sampleCount, channelCount, remarks: opened.remarks };
    },
    peaks: (file, request) => withSound(file, (source) => readPeaks(source, request)),
    sound: (file, start, count, channel) => withSound(file, (source) => readMixed(source, start, count, channel)),
    claps: (file, search) => withSound(file, async (source) => searchClaps(source, await fourier(), search)),
  };
}

type OpenedSound =
  | {
      readonly ok: true;
      readonly source: SoundSource;
      readonly remarks: readonly string[];
      /** Its bytes could not be read: a card that was pulled is an answer, a fault of ours is none. */
      readonly hasFailed: () => boolean;
      readonly close: () => Promise<void>;
    }
  | { readonly ok: false; readonly reason: string };

async function openSound(opened: OpenedBytes): Promise<OpenedSound> {
  if (!opened.ok) return opened;
  let failure: unknown = null;
  const bytes: ByteSource = {
    size: opened.value.size,
    read: (offset, length) =>
      opened.value.read(offset, length).catch((error: unknown) => {
        failure = error;
        throw error;
      }),
  };
  const reading = await readWaveHeader(bytes).catch(async (error: unknown) => {
    await opened.close();
    if (failure === null) throw error;
    return { reason: `can't be read: ${failure instanceof Error ? failure.message : String(failure)}` };
  });
  if ('reason' in reading) return { ok: false, ...reading };
  const { header, problems } = reading;
  if (header === null || header.sampleCount === 0) {
    await opened.close();
    return { ok: false, reason: ["can't be shown.", ...problems.map(({ message }) => message)].join(' ') };
  }
  const remarks = problems.filter(({ severity }) => severity !== 'information').map(({ message }) => message);
  return { ok: true, source: waveSource(bytes, header), remarks, hasFailed: () => failure !== null, close: opened.close };
}

async function searchClaps(
  whole: SoundSource,
  fourier: Fourier,
  { range, columns, onProgress, isCancelled }: ClapSearch,
): Promise<ClapsFound> {
  const watched = watchPeaks(whole, columns);
  const offset = range === null ? 0 : Math.max(0, Math.floor(range.start));
  const source = range === null ? watched.source : excerptOf(whole, offset, range.end);
  const reading = await findClaps(source, fourier, {
    isCancelled,
    onProgress: (heard, total) => onProgress(total === 0 ? 1 : heard / total),
  });
  return {
    ...reading,
    candidates: reading.candidates.map((clap) => ({
      ...clap,
      sample: clap.sample + offset,
      crossing: clap.crossing + offset,
    })),
    peaks: range === null ? watched.peaks() : null,
  };
}
