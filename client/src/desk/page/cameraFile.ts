/**
 * A camera file in the page: taken apart by mediabunny, decoded by the browser's own decoders, read by ranges through the editor.
 *
 * Frame `n` is the one shown in the middle of its time, first + (n + 1/2) / rate, so that rounded time stamps of a container can't lead
 * to a neighbour. What can't be shown or heard is said in words, and why.
 */

import {
  AudioBufferSink,
  CustomSource,
  Input,
  type InputAudioTrack,
  type InputVideoTrack,
  MATROSKA,
  MP4,
  QTFF,
  VideoSampleSink,
  WAVE,
  WEBM,
} from 'mediabunny';
import { type Rate, rateLabel, snapRate } from '../../../../server/src/core/time/rate.ts';
import { equals, parseDecimal, toNumber } from '../../../../server/src/core/time/rational.ts';

/** Pixels across that a frame is kept with: enough to see whether two hands touch. */
const FRAME_WIDTH = 640;
const PACKETS_FOR_RATE = 250;

export type FramePicture = HTMLCanvasElement;

export interface CameraFile {
  /** What can't be shown, heard or trusted; empty when all can. */
  readonly words: string;
  readonly hasPicture: boolean;
  readonly hasSound: boolean;
  /** Width over height of its pictures. */
  readonly aspect: number;
  /** Decodes frames in rising order; null for a frame that is not there. Ends early when `isWanted` says no. */
  readonly decode: (
    frames: readonly number[],
    onFrame: (frame: number, picture: FramePicture | null) => void,
    isWanted: () => boolean,
  ) => Promise<void>;
  /** The camera's own sound from one media time to another, each piece with its media time. */
  readonly hear: (from: number, to: number) => Promise<readonly { readonly at: number; readonly buffer: AudioBuffer }[]>;
  readonly close: () => void;
}

export interface CameraBytes {
  readonly name: string;
  readonly size: number;
  /** Fewer bytes than asked for, or null, when the file can't be read any more. */
  readonly read: (start: number, end: number) => Promise<Uint8Array | null>;
}

const TYPE_IT = 'Look at the clap in a player that can, and type its frame here, as number or timecode.';

export async function openCameraFile(bytes: CameraBytes, rate: Rate): Promise<CameraFile> {
  const input = new Input({
    formats: [MP4, QTFF, WEBM, MATROSKA, WAVE],
    source: new CustomSource({
      getSize: () => bytes.size,
      read: async (start, end) => {
        const block = await bytes.read(start, end);
        if (block === null) throw new Error(`${bytes.name} can't be read any more`);
        return block;
      },
      prefetchProfile: 'fileSystem',
      handleUnhandledError: () => undefined,
    }),
  });
  try {
    return await openInput(input, bytes.name, rate);
  } catch {
    input.dispose();
    return nothingOf(
      `${bytes.name} is no file that the desk can take apart (it knows MP4, MOV, WebM, Matroska and WAV). ${TYPE_IT}`,
    );
  }
}

/** A camera file of which nothing can be had. */
export function nothingOf(words: string): CameraFile {
  return {
    words,
    hasPicture: false,
    hasSound: false,
    aspect: 16 / 9,
    decode: async () => undefined,
    hear: async () => [],
    close: () => undefined,
  };
}

async function openInput(input: Input, name: string, rate: Rate): Promise<CameraFile> {
  const picture = await input.getPrimaryVideoTrack();
  const sound = await input.getPrimaryAudioTrack();
  const words: string[] = [];
  const canShow = picture !== null && (await canDecode(picture));
  const canHear = sound !== null && (await canDecode(sound));
  if (picture === null) words.push(`${name} holds no picture. ${TYPE_IT}`);
  else if (!canShow) words.push(await whyNot(picture, name, 'picture'));
  else words.push(...(await rateWords(picture, name, rate)));
  if (sound === null) words.push(`${name} has no sound of its own, so only the recording is heard.`);
  else if (!canHear) words.push(await whyNot(sound, 'Its own sound', 'sound'));
  const first = (await (picture ?? sound)?.getFirstTimestamp()) ?? 0;
  const perSecond = toNumber(rate);
  const width = canShow ? await picture.getDisplayWidth() : 16;
  const height = canShow ? await picture.getDisplayHeight() : 9;
  const sink = canShow ? new VideoSampleSink(picture) : null;
  const soundSink = canHear ? new AudioBufferSink(sound) : null;
  return {
    words: words.join(' '),
    hasPicture: canShow,
    hasSound: canHear,
    aspect: width / height,
    decode: async (frames, onFrame, isWanted) => {
      if (sink === null) return;
      let at = 0;
      const times = frames.map((frame) => first + (frame + 0.5) / perSecond);
      for await (const sample of sink.samplesAtTimestamps(times)) {
        const frame = frames[at] as number;
        at += 1;
        // The last frame of a file stands for every time after it; one that began long before is another frame.
        const isIt = sample !== null && Math.abs(sample.timestamp - first - frame / perSecond) < 0.75 / perSecond;
        onFrame(frame, isIt ? drawn(sample, width, height) : null);
        sample?.close();
        if (!isWanted()) return;
      }
    },
    hear: async (from, to) => {
      const pieces: { at: number; buffer: AudioBuffer }[] = [];
      if (soundSink === null) return pieces;
      for await (const { buffer, timestamp } of soundSink.buffers(first + from, first + to)) {
        pieces.push({ at: timestamp - first, buffer });
      }
      return pieces;
    },
    close: () => input.dispose(),
  };
}

function drawn(
  sample: { readonly draw: (context: CanvasRenderingContext2D, x: number, y: number, width: number, height: number) => void },
  width: number,
  height: number,
): FramePicture | null {
  const canvas = document.createElement('canvas');
  canvas.width = Math.min(FRAME_WIDTH, width);
  canvas.height = Math.max(1, Math.round((canvas.width * height) / width));
  const context = canvas.getContext('2d', { alpha: false });
  if (context === null) return null;
  sample.draw(context, 0, 0, canvas.width, canvas.height);
  return canvas;
}

/** Decoders may say yes and fail all the same; a browser without WebCodecs says nothing at all. */
async function canDecode(track: InputVideoTrack | InputAudioTrack): Promise<boolean> {
  try {
    return await track.canDecode();
  } catch {
    return false;
  }
}

async function whyNot(track: InputVideoTrack | InputAudioTrack, subject: string, what: 'picture' | 'sound'): Promise<string> {
  const codec = (await track.getCodec()) ?? (await track.getCodecParameterString()) ?? String(await track.getInternalCodecId());
  if (what === 'sound') return `${subject} is coded as ${codec}, which this editor can't decode: only the recording is heard.`;
  return `${subject} can't be shown: its picture is coded as ${codec}, which this editor can't decode. A smaller copy of the same name, in H.264 or VP9 and with every frame kept, can be shown in its place. ${TYPE_IT}`;
}

/** A file at another rate than the report's has other frame numbers. */
async function rateWords(picture: InputVideoTrack, name: string, rate: Rate): Promise<readonly string[]> {
  const { averagePacketRate, packetCount } = await picture.computePacketStats(PACKETS_FOR_RATE);
  const written = parseDecimal(averagePacketRate.toFixed(4));
  const found = written === null ? null : snapRate(written);
  // Few frames, or time stamps in milliseconds, tell a rate only roughly.
  if (found === null || packetCount < 12 || equals(found.rate, rate)) return [];
  const isClose = Math.abs(averagePacketRate - toNumber(rate)) < toNumber(rate) / 2000;
  if (isClose) return [];
  return [
    `${name} shows ${Number(averagePacketRate.toFixed(3))} frames per second, and the report counts ${rateLabel(rate)}: its frames are not the report's.`,
  ];
}
