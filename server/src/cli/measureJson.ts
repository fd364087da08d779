/**
 * A measurement as one JSON object for other programs.
 *
 * Numbers that mean a place or a time are exact: `num/den` in lowest terms or an integer, as text, in frames, samples or seconds as
 * their names say. Scores and confidences are plain numbers from 0 to 1. Members may be added later; those that are here stay.
 */

import { divide, formatRational, type Rational, rational } from '../core/time/rational.ts';
import { formatTimecode } from '../core/time/timecode.ts';
import type { LeftOver, MeasuredPair, MeasuredPicture, MeasuredSound, Measurement } from '../project/measure/measurement.ts';
import { mapped } from '../project/measure/pairMapping.ts';

const JSON_VERSION = 1;

/** `report` is the path that was written; null when none was. Ends with a line break. */
export function renderMeasurementJson(measurement: Measurement, report: string | null): string {
  const object = {
    version: JSON_VERSION,
    sounds: measurement.sounds.map(soundJson),
    pictures: measurement.pictures.map(pictureJson),
    pairs: measurement.pairs.map((pair) => pairJson(pair, measurement)),
    leftOver: measurement.leftOver.map(leftOverJson),
    failures: measurement.failures,
    report,
  };
  return `${JSON.stringify(object, null, 2)}\n`;
}

function soundJson({ data, path, name, channelCount, reading, remarks }: MeasuredSound): object {
  let number = 0;
  return {
    key: data.key,
    path,
    name,
    sampleRate: formatRational(data.sampleRate),
    samples: data.sampleCount === null ? '0' : formatRational(data.sampleCount),
    startSample: orNull(data.startSample),
    channels: channelCount,
    claps: reading.candidates
      .filter(({ verdict }) => verdict === 'clap')
      .map(({ sample, score, channel, position, reason }) => {
        number += 1;
        return {
          clap: number,
          sample: String(sample),
          seconds: formatRational(secondsOf(sample, data.sampleRate)),
          score,
          channel: channel + 1,
          position,
          reason,
        };
      }),
    refused: reading.candidates
      .filter(({ verdict }) => verdict === 'refused')
      .map(({ sample, score, channel, position, reason }) => ({
        sample: String(sample),
        seconds: formatRational(secondsOf(sample, data.sampleRate)),
        score,
        channel: channel + 1,
        position,
        reason,
      })),
    refusedUnlisted: reading.unlistedCount,
    remarks: [...remarks, ...reading.remarks],
  };
}

function pictureJson({ data, path, name, scratch, remarks }: MeasuredPicture): object {
  return {
    key: data.key,
    path,
    name,
    rate: formatRational(data.rate),
    start: data.startFrame === null ? null : formatTimecode(Number(data.startFrame.numerator), data.rate, data.isDropFrame),
    dropFrame: data.isDropFrame,
    frames: orNull(data.frameCount),
    scratch: scratch === null ? null : { sampleRate: String(scratch.sampleRate), channels: scratch.channelCount },
    remarks,
  };
}

function pairJson({ data, confidence, remarks, waveform }: MeasuredPair, { pictures, sounds }: Measurement): object {
  const picture = pictures.find((candidate) => candidate.data.key === data.picture);
  const sound = sounds.find((candidate) => candidate.data.key === data.sound);
  const offset = picture === undefined || sound === undefined ? null : mapped(data, picture.data, sound.data, rational(0));
  return {
    picture: data.picture,
    sound: data.sound,
    at: { frame: formatRational(data.frame), sample: formatRational(data.sample) },
    // Seconds of sound at the picture's first instant: above 0 when the sound began first.
    offset: orNull(offset),
    driftPpm: formatRational(data.driftPpm),
    driftPpmUncertainty: waveform === null ? null : waveform.match.driftPpmUncertainty,
    uncertainty:
      data.uncertainty === null
        ? null
        : { early: formatRational(data.uncertainty.early), late: formatRational(data.uncertainty.late) },
    by: data.by,
    clap: data.clap,
    confidence,
    polarity: waveform === null ? null : waveform.match.polarity === 1 ? 'same' : 'inverted',
    jumps:
      waveform?.match.jumps.map(({ after, before, samples }) => ({
        after: after / waveform.scratchRate,
        before: before / waveform.scratchRate,
        samples,
      })) ?? [],
    pull: waveform?.match.pull?.ratio ?? null,
    note: data.note,
    remarks,
  };
}

function leftOverJson({ severity, kind, name, reason }: LeftOver): object {
  return { severity, kind, name, reason };
}

function secondsOf(sample: number, sampleRate: Rational): Rational {
  return divide(rational(sample), sampleRate);
}

function orNull(value: Rational | null): string | null {
  return value === null ? null : formatRational(value);
}
