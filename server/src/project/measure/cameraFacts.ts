/**
 * What a camera file says of itself, taken from the JSON that ffprobe prints.
 *
 * Only what the alignment needs: rate, length, time stamp, and when the first picture and the first sound are presented. The two
 * streams of a file need not begin together (edit lists, start offsets, the priming of a codec), and what lies between them
 * would otherwise go straight into the offset. Times are kept as the exact ticks of the stream's time base.
 *
 * The JSON is a program's output, so nothing in it is trusted to be there or to be of the right type.
 */

import { droppedLabelsPerMinute, isSampleRate, type Rate, rateLabel, snapRate } from '../../core/time/rate.ts';
import { absolute, compare, divide, multiply, type Rational, rational, subtract, toNumber } from '../../core/time/rational.ts';
import { labelToFrame, parseTimecode } from '../../core/time/timecode.ts';
import { nearest, parsePositiveRatio } from './probeNumbers.ts';

export interface CameraFacts {
  readonly rate: Rate;
  /** Null when neither the header nor the length tells; counting then reads the whole file. */
  readonly frameCount: number | null;
  /** Frame number of the time stamp of the first frame; null when there is none. */
  readonly startFrame: number | null;
  readonly isDropFrame: boolean;
  /** When the first frame is shown, in seconds of the file's own clock. */
  readonly pictureStart: Rational;
  readonly scratch: ScratchFacts | null;
  /** What people should know of the file, in sentences. */
  readonly remarks: readonly string[];
}

interface ScratchFacts {
  /** Indices among the file's streams, of one sample rate and start; several where each channel is a stream. */
  readonly streams: readonly number[];
  readonly sampleRate: number;
  readonly channelCount: number;
  /** When the first sample is heard, in seconds of the file's own clock. */
  readonly start: Rational;
  /** Seconds by which picture and sound may really lie apart, because the container counts no finer. */
  readonly startUncertainty: Rational;
  /** Seconds, as the container says; for progress only. */
  readonly seconds: number | null;
}

export type FactsReading =
  | { readonly ok: true; readonly facts: CameraFacts }
  /** The rest of a sentence that begins with the path. */
  | { readonly ok: false; readonly reason: string };

/** Sound streams beyond this many are left out. */
const MOST_STREAMS = 8;
/** Rates that differ by more than this share are no rounding: the frames come at uneven times. */
const UNEVEN_RATE = rational(1, 1000);
/** Edit lists of movie files count in units of the movie, commonly a thousandth of a second (ISO/IEC 14496-12 mvhd; from memory). */
const MOVIE_UNIT = rational(1, 1000);

/** Seconds; more than the delays of MP3 (1105 samples), AC-3 (256) and AAC (2112) at 44.1 kHz (measured with ffmpeg; from memory). */
const CODEC_DELAY = rational(1, 20);

/** `firstSoundTick` is the stamp of the first decoded block of sound, which ffprobe tells when it is asked for frames. */
export function readCameraFacts(probe: unknown, firstSoundTick: number | null = null): FactsReading {
  const root = objectOf(probe);
  const streams = listOf(root['streams']).map(objectOf);
  const picture = streams.find((stream) => stream['codec_type'] === 'video' && !isStillPicture(stream));
  if (picture === undefined) return { ok: false, reason: 'holds no moving picture' };
  const remarks: string[] = [];
  const rate = rateOf(picture, remarks);
  if (rate === null) return { ok: false, reason: 'does not say its frame rate' };
  const timecode = timecodeOf(root, streams, picture, rate, remarks);
  return {
    ok: true,
    facts: {
      rate,
      frameCount: frameCountOf(picture, rate),
      startFrame: timecode?.frame ?? null,
      isDropFrame: timecode?.isDropFrame ?? false,
      pictureStart: startOf(picture),
      scratch: scratchOf(streams, picture, nameOfFormat(root), firstSoundTick, remarks),
      remarks,
    },
  };
}

type Fields = Readonly<Record<string, unknown>>;

function rateOf(picture: Fields, remarks: string[]): Rate | null {
  const base = frameRate(picture['r_frame_rate']);
  const average = frameRate(picture['avg_frame_rate']);
  const rate = average ?? base;
  if (rate === null) return null;
  if (base !== null && average !== null && !isSameOrFields(base, average)) {
    remarks.push(
      `The frames do not come evenly: on average ${decimal(average)} per second, and ${decimal(base)} where they come fastest. Frame numbers are no times then; make a copy with a constant frame rate and measure that.`,
    );
  }
  const snapped = snapRate(rate);
  if (snapped === null || isSampleRate(snapped.rate)) return null;
  if (!snapped.isUsual && remarks.length === 0) remarks.push(`${decimal(rate)} frames per second is no usual rate.`);
  return snapped.rate;
}

/** Interlaced streams may count fields where the average counts frames. */
function isSameOrFields(base: Rational, average: Rational): boolean {
  const ratio = divide(base, average);
  return [1, 2].some((factor) => compare(absolute(subtract(ratio, rational(factor))), UNEVEN_RATE) <= 0);
}

function frameRate(value: unknown): Rational | null {
  return typeof value === 'string' ? parsePositiveRatio(value) : null;
}

/** What the header counts; else the length, when it is a whole number of frames to within a hundredth. */
function frameCountOf(picture: Fields, rate: Rate): number | null {
  const counted = wholeNumber(picture['nb_frames']) ?? wholeNumber(picture['nb_read_packets']);
  if (counted !== null) return counted;
  const ticks = wholeNumber(picture['duration_ts']);
  const base = frameRate(picture['time_base']);
  if (ticks === null || base === null) return null;
  return nearest(multiply(multiply(rational(ticks), base), rate), rational(1, 100));
}

interface Stamp {
  readonly frame: number;
  readonly isDropFrame: boolean;
}

/** The stamp stands with the picture, with a time-code track, or with the file, depending on the container. */
function timecodeOf(root: Fields, streams: readonly Fields[], picture: Fields, rate: Rate, remarks: string[]): Stamp | null {
  const holders = [picture, ...streams.filter((stream) => stream['codec_type'] === 'data'), objectOf(root['format'])];
  const text = holders.map((holder) => objectOf(holder['tags'])['timecode']).find((tag) => typeof tag === 'string');
  if (typeof text !== 'string') return null;
  const label = parseTimecode(text);
  if (label === null) {
    remarks.push(`Its time stamp, ${JSON.stringify(text)}, is no timecode and was left out.`);
    return null;
  }
  const isDropFrame = label.isMarkedDrop && droppedLabelsPerMinute(rate) > 0;
  const answer = labelToFrame(label, rate, isDropFrame);
  if (!answer.ok) {
    remarks.push(`Its time stamp, ${text}, does not exist at ${rateLabel(rate)} frames per second and was left out.`);
    return null;
  }
  return { frame: answer.frame, isDropFrame };
}

function scratchOf(
  streams: readonly Fields[],
  picture: Fields,
  format: string,
  firstTick: number | null,
  remarks: string[],
): ScratchFacts | null {
  const sounds = streams.flatMap((stream, index) =>
    stream['codec_type'] === 'audio' ? [{ stream, index: wholeNumber(stream['index']) ?? index }] : [],
  );
  const first = sounds[0];
  if (first === undefined) return null;
  const sampleRate = wholeNumber(first.stream['sample_rate']);
  if (sampleRate === null || sampleRate === 0) {
    remarks.push('Its sound stream does not say its sample rate and was left out.');
    return null;
  }
  // Some cameras write each channel as a stream; only such that run alike can be read side by side.
  const alike = sounds.filter(
    ({ stream }) =>
      wholeNumber(stream['sample_rate']) === sampleRate &&
      stream['start_pts'] === first.stream['start_pts'] &&
      stream['codec_name'] === first.stream['codec_name'] &&
      stream['channels'] === first.stream['channels'],
  );
  const chosen = alike.slice(0, MOST_STREAMS);
  if (chosen.length < sounds.length) {
    remarks.push(
      `Of its ${sounds.length} sound streams ${chosen.length} were heard; the others run differently, or are too many.`,
    );
  }
  const isDelayed = hidesDelay(format, first.stream);
  if (isDelayed) {
    remarks.push(
      'Its coded sound comes out of the decoder late, and an AVI file does not say by how much: up to 50 ms. A match by it carries that uncertainty; find the clap by eye, or measure a copy with plain samples (PCM) that the camera itself wrote.',
    );
  }
  const base = frameRate(first.stream['time_base']) ?? rational(1, sampleRate);
  const start = firstTick === null ? startOf(first.stream) : multiply(rational(firstTick), base);
  return {
    streams: chosen.map(({ index }) => index),
    sampleRate,
    channelCount: chosen.length * Math.max(1, wholeNumber(first.stream['channels']) ?? 1),
    start,
    startUncertainty: isDelayed
      ? CODEC_DELAY
      : startUncertainty(base, frameRate(picture['time_base']), start, startOf(picture), sampleRate, format),
    seconds: secondsOf(first.stream) ?? secondsOf(picture),
  };
}

/** AVI holds no start time and no edit list, so the samples a coder puts before the first are heard as sound. */
function hidesDelay(format: string, stream: Fields): boolean {
  const codec = stream['codec_name'];
  return format === 'avi' && typeof codec === 'string' && !/^(pcm_|adpcm_)/.test(codec);
}

/** Half a tick for each stream whose ticks are coarser than a sample and no whole frames, and a unit of the edit list where one shifts the sound. */
function startUncertainty(
  soundBase: Rational,
  pictureBase: Rational | null,
  soundStart: Rational,
  pictureStart: Rational,
  sampleRate: number,
  format: string,
): Rational {
  const isMillisecond = (base: Rational | null): boolean => base !== null && compare(base, MOVIE_UNIT) === 0;
  const half = divide(MOVIE_UNIT, rational(2));
  const coarse = [soundBase, pictureBase].filter(isMillisecond).length;
  const isShifted = compare(absolute(subtract(soundStart, pictureStart)), rational(1, sampleRate)) > 0;
  const isEdited = isShifted && /mov|mp4/.test(format);
  return isEdited ? MOVIE_UNIT : multiply(half, rational(coarse));
}

function startOf(stream: Fields): Rational {
  const ticks = wholeNumber(stream['start_pts']);
  const base = frameRate(stream['time_base']);
  return ticks === null || base === null ? rational(0) : multiply(rational(ticks), base);
}

function secondsOf(stream: Fields): number | null {
  const seconds = Number(stream['duration']);
  return Number.isFinite(seconds) && seconds > 0 ? seconds : null;
}

function nameOfFormat(root: Fields): string {
  const name = objectOf(root['format'])['format_name'];
  return typeof name === 'string' ? name : '';
}

/** Cover pictures count as video streams of one frame. */
function isStillPicture(stream: Fields): boolean {
  return objectOf(stream['disposition'])['attached_pic'] === 1;
}

function objectOf(value: unknown): Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Fields) : {};
}

function listOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : [];
}

/** ffprobe writes some numbers as text and some as numbers. */
function wholeNumber(value: unknown): number | null {
  const number = typeof value === 'string' && value !== '' ? Number(value) : value;
  return typeof number === 'number' && Number.isSafeInteger(number) ? number : null;
}

function decimal(value: Rational): string {
  return String(Number(toNumber(value).toFixed(3)));
}
