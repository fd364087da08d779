/**
 * Opens recordings and says what they are: length, rate, time stamp, and a source of samples.
 *
 * Nothing is measured yet and nothing is written. What can't be used is told as a failure and the others go on; what is odd about
 * a file becomes a remark on it.
 */

import { isSampleRate, type Rate, rateLabel } from '../../core/time/rate.ts';
import { type Rational, rational, subtract } from '../../core/time/rational.ts';
import type { SoundSource } from '../../sound/soundSource.ts';
import { readWaveHeader } from '../../sound/wave/readWaveHeader.ts';
import type { WaveHeader } from '../../sound/wave/waveHeader.ts';
import { waveSource } from '../../sound/wave/waveSource.ts';
import { nameOf } from '../paths.ts';
import type { CameraFacts } from './cameraFacts.ts';
import type { MediaPort, Opened, Watch } from './mediaPort.ts';
import type { Recording } from './recording.ts';

export interface OpenSound {
  readonly path: string;
  readonly name: string;
  /** The name, or the path where several recordings have one name. */
  readonly label: string;
  readonly source: SoundSource;
  /** Samples since midnight of the first one, when the file says. */
  readonly startSample: number | null;
  readonly remarks: readonly string[];
  readonly close: () => Promise<void>;
}

export interface OpenPicture {
  /** Null for a picture that only a clap log names. */
  readonly path: string | null;
  readonly name: string;
  readonly rate: Rate;
  readonly startFrame: number | null;
  readonly isDropFrame: boolean;
  readonly frameCount: number | null;
  readonly scratch: OpenScratch | null;
  readonly remarks: readonly string[];
  readonly close: () => Promise<void>;
}

export interface OpenScratch {
  readonly sampleRate: number;
  readonly channelCount: number;
  /** As the file says; null when it does not. */
  readonly seconds: number | null;
  /** Seconds from the first frame to the first sample; negative when the sound begins first. */
  readonly start: Rational;
  /** Seconds by which that may be wrong, because the container counts no finer. */
  readonly startUncertainty: Rational;
  /** Makes the samples readable until they are closed again: a camera's sound is decoded for it, and takes room on the disk meanwhile. */
  readonly open: (watch: Watch) => Promise<Opened<SoundSource>>;
}

export type Opening<Value> =
  | { readonly ok: true; readonly value: Value }
  /** A whole sentence. `isToolMissing`: the file may be fine, but nothing here can read it. */
  | { readonly ok: false; readonly failure: string; readonly isToolMissing: boolean };

export async function openSound(port: MediaPort, { path, reader }: Recording): Promise<Opening<OpenSound>> {
  if (reader === 'camera')
    return failed(`${path} is a camera file by its name, and sounds are read from WAV; make a WAV of its sound`);
  const wave = await openWave(port, path);
  if (!wave.ok) return wave;
  const { header, source, remarks, close } = wave.value;
  if (!isSampleRate(rational(header.sampleRate))) {
    await close();
    return failed(`${path} has ${header.sampleRate} samples per second, too few for sound; its header may be wrong`);
  }
  const { startSample, stampRemarks } = stampOf(header);
  return {
    ok: true,
    value: { path, name: nameOf(path), label: nameOf(path), source, startSample, remarks: [...remarks, ...stampRemarks], close },
  };
}

/** `rate` where the file does not say its own; null when nobody does. */
export async function openPicture(
  port: MediaPort,
  { path, reader }: Recording,
  rate: Rate | null,
): Promise<Opening<OpenPicture>> {
  return reader === 'wave' ? openWavePicture(port, path, rate) : openCamera(port, path, rate);
}

/** A camera's own sound, saved as WAV: its first sample is taken to belong to the start of frame 0. */
async function openWavePicture(port: MediaPort, path: string, rate: Rate | null): Promise<Opening<OpenPicture>> {
  if (rate === null) {
    return failed(`${path} stands for a picture, so its frames per second are needed: give --rate, or a clap log that says it`);
  }
  const wave = await openWave(port, path);
  if (!wave.ok) return wave;
  const { source, remarks, close } = wave.value;
  const { sampleRate, channelCount, sampleCount } = source;
  return {
    ok: true,
    value: {
      path,
      name: nameOf(path),
      rate,
      startFrame: null,
      isDropFrame: false,
      frameCount: null,
      scratch: {
        sampleRate,
        channelCount,
        seconds: sampleCount / sampleRate,
        start: rational(0),
        startUncertainty: rational(0),
        open: () => Promise.resolve({ ok: true, value: source, remarks: [], close: closeNothing }),
      },
      remarks,
      close,
    },
  };
}

async function openCamera(port: MediaPort, path: string, stated: Rate | null): Promise<Opening<OpenPicture>> {
  const answer = await port.probe(path);
  if (!answer.ok) return { ok: false, failure: `${path} ${answer.reason}`, isToolMissing: answer.isToolMissing };
  const { facts } = answer;
  const { scratch } = facts;
  const silent = scratch === null ? ['It has no sound of its own.'] : [];
  return {
    ok: true,
    value: {
      path,
      name: nameOf(path),
      rate: facts.rate,
      startFrame: facts.startFrame,
      isDropFrame: facts.isDropFrame,
      frameCount: facts.frameCount,
      scratch:
        scratch === null
          ? null
          : {
              sampleRate: scratch.sampleRate,
              channelCount: scratch.channelCount,
              seconds: scratch.seconds,
              start: subtract(scratch.start, facts.pictureStart),
              startUncertainty: scratch.startUncertainty,
              open: (watch) => port.decodeScratch(path, facts, watch),
            },
      remarks: [...facts.remarks, ...rateRemarks(facts, stated), ...silent],
      close: closeNothing,
    },
  };
}

function closeNothing(): Promise<void> {
  return Promise.resolve();
}

/** The file's own rate stands; that somebody said another is worth a sentence. */
function rateRemarks({ rate }: CameraFacts, stated: Rate | null): readonly string[] {
  if (stated === null || rateLabel(stated) === rateLabel(rate)) return [];
  return [`The file runs at ${rateLabel(rate)} frames per second, which was used; ${rateLabel(stated)} was stated for it.`];
}

interface OpenWave {
  readonly header: WaveHeader;
  readonly source: SoundSource;
  readonly remarks: readonly string[];
  readonly close: () => Promise<void>;
}

async function openWave(port: MediaPort, path: string): Promise<Opening<OpenWave>> {
  const opened = await port.openBytes(path);
  if (!opened.ok) return failed(`${path} ${opened.reason}`);
  const { header, problems } = await readWaveHeader(opened.value);
  const refusal = problems.find(({ severity }) => severity === 'error');
  if (header === null || refusal !== undefined) {
    await opened.close();
    return failed(`${path}: ${refusal?.message ?? 'no sound can be read from it'}`);
  }
  const remarks = problems.filter(({ severity }) => severity !== 'error').map(({ message }) => message);
  return { ok: true, value: { header, source: waveSource(opened.value, header), remarks, close: opened.close } };
}

/** The bext stamp; where there is none, iXML's copy of it, and that is said. */
function stampOf({ broadcast, ixml }: WaveHeader): {
  readonly startSample: number | null;
  readonly stampRemarks: readonly string[];
} {
  if (broadcast !== null) return { startSample: broadcast.timeReference, stampRemarks: [] };
  const copy = ixml?.timestamp ?? null;
  if (copy === null) return { startSample: null, stampRemarks: [] };
  return { startSample: copy, stampRemarks: ['Its time stamp was taken from iXML, since there is no bext chunk.'] };
}

function failed(failure: string): { readonly ok: false; readonly failure: string; readonly isToolMissing: boolean } {
  return { ok: false, failure, isToolMissing: false };
}
