/** Measurements made up for tests of what is done with them. */

import { rational } from '../../../server/src/core/time/rational.ts';
import type {
  MeasuredPair,
  MeasuredPicture,
  MeasuredSound,
  Measurement,
} from '../../../server/src/project/measure/measurement.ts';

export function soundNamed(name: string, key: string, claps: readonly number[] = []): MeasuredSound {
  return {
    data: {
      key,
      names: [name],
      sampleRate: rational(48000),
      startSample: null,
      sampleCount: rational(480000),
      claps: claps.map((clap) => rational(clap)),
    },
    path: name,
    name,
    channelCount: 1,
    seconds: 10,
    reading: {
      candidates: claps.map((sample) => ({
        sample,
        crossing: sample,
        edgeUncertainty: 1,
        channel: 0,
        peak: 0.5,
        sharpness: 40,
        aboveRoomDb: 40,
        score: 1,
        position: 'head' as const,
        verdict: 'clap' as const,
        reason: 'One sharp sound.',
      })),
      unlistedCount: 0,
      remarks: [],
    },
    remarks: [],
  };
}

export function pictureNamed(name: string, key: string): MeasuredPicture {
  return {
    data: { key, names: [name], rate: rational(25), isDropFrame: false, startFrame: null, frameCount: rational(250) },
    path: name,
    name,
    scratch: null,
    remarks: [],
  };
}

export function clapPair(picture: string, sound: string, frame: number, sample: number, clap: number): MeasuredPair {
  return {
    data: {
      picture,
      sound,
      frame: rational(frame),
      sample: rational(sample),
      driftPpm: rational(0),
      uncertainty: { early: rational(0), late: rational(1, 25) },
      by: 'clap',
      clap,
      note: null,
    },
    confidence: 1,
    remarks: [],
    waveform: null,
  };
}

export function measurementOf(parts: Partial<Measurement>): Measurement {
  return { sounds: [], pictures: [], pairs: [], leftOver: [], failures: [], ...parts };
}
