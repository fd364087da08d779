/**
 * Opened recordings as entries of a report, with what people want to know besides.
 */

import { rational } from '../../core/time/rational.ts';
import type { ClapReading } from '../../sound/claps/clap.ts';
import { secondsOf } from './listening.ts';
import type { MeasuredPicture, MeasuredSound } from './measurement.ts';
import type { OpenPicture, OpenSound } from './openRecordings.ts';

export function measuredSound(sound: OpenSound, key: string, reading: ClapReading): MeasuredSound {
  const { sampleRate, sampleCount, channelCount } = sound.source;
  return {
    data: {
      key,
      names: [sound.name],
      sampleRate: rational(sampleRate),
      startSample: sound.startSample === null ? null : rational(sound.startSample),
      // A report takes no length of nothing.
      sampleCount: sampleCount === 0 ? null : rational(sampleCount),
      claps: reading.candidates.filter(({ verdict }) => verdict === 'clap').map(({ sample }) => rational(sample)),
    },
    path: sound.path,
    name: sound.name,
    channelCount,
    seconds: secondsOf(sound.source),
    reading,
    remarks: sound.remarks,
  };
}

/** `remarks` are those made while its sound was compared. */
export function measuredPicture(picture: OpenPicture, key: string, remarks: readonly string[]): MeasuredPicture {
  const { scratch } = picture;
  return {
    data: {
      key,
      names: [picture.name],
      rate: picture.rate,
      isDropFrame: picture.isDropFrame,
      startFrame: picture.startFrame === null ? null : rational(picture.startFrame),
      frameCount: picture.frameCount === null ? null : rational(picture.frameCount),
    },
    path: picture.path,
    name: picture.name,
    scratch:
      scratch === null ? null : { sampleRate: scratch.sampleRate, channelCount: scratch.channelCount, seconds: scratch.seconds },
    remarks: [...picture.remarks, ...remarks],
  };
}
