/**
 * A scene for the clap desk, computed: the recorder of the demo, and a camera that saw its first clap.
 *
 * Every frame carries its number as a row of squares, black and white, so that a test can read off the pixels which frame it was given.
 * Below, two bars come together as hands do: they are apart in the frame before `FIRST_CLOSED` and closed from it on. Made up for the
 * tests; nobody is seen or heard in it.
 */

import { execFile, spawn } from 'node:child_process';
import { mkdir, open, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
// @ts-expect-error The demo is plain JavaScript.
import { inventRecordings, waveFile } from '../../../.build/samples/inventRecordings.mjs';

/** Samples in a frame of 24000/1001 at 48 kHz: exactly 2002 (SMPTE ST 12-1 rate). */
export const SAMPLES_PER_FRAME = 2002;
const shoot = inventRecordings() as { deck: Float64Array; claps: readonly number[]; startA: number };
/** Samples of the recorder at which the two claps begin, as computed. */
export const [CLAP = 0, SECOND_CLAP = 0] = shoot.claps;
/** Sample of the recorder at which the camera's first frame, and its own sound, begin. */
export const CAMERA_START = shoot.startA;
/** The first frame that begins when the hands are together. */
export const FIRST_CLOSED = Math.ceil((CLAP - CAMERA_START) / SAMPLES_PER_FRAME);
export const FRAME_COUNT = 144;
const WIDTH = 320;
const HEIGHT = 180;
const SQUARE = 20;
const BITS = 12;

export const REPORT_NAME = 'day3.alignment.json';
/** Its spacing and its note are a person's own, and must survive. */
export const REPORT = `{
  "alignment": 1,
  "pictures": {
    "cam-a-20":   { "names": ["CAM_A_0020.mp4"], "rate": "24000/1001", "start": "14:03:20:00", "frames": ${FRAME_COUNT} },
    "cam-b-20":   { "names": ["CAM_B_0020.mov"], "rate": "24000/1001", "frames": 400 }
  },
  "sounds": {
    "deck-20":    { "names": ["DECK_0020.wav"], "sampleRate": 48000, "claps": [${CLAP}, ${SECOND_CLAP}] }
  },
  "pairs": [
    { "picture": "cam-a-20", "sound": "deck-20", "at": { "frame": 58, "sample": ${CLAP} },
      "driftPpm": 0, "uncertaintyMs": { "early": 20.9, "late": 20.9 }, "by": "eye", "clap": 1, "note": "read off a phone" }
  ]
}
`;

export async function writeRecording(folder: string): Promise<void> {
  await mkdir(folder, { recursive: true });
  await writeFile(join(folder, REPORT_NAME), REPORT);
  await writeFile(join(folder, 'DECK_0020.wav'), waveFile(shoot.deck));
}

/** Two hours of it instead of seconds, nearly a gigabyte: silence from where it ended, of which a file system keeps nothing. */
export async function stretchRecording(folder: string): Promise<string> {
  const path = join(folder, 'DECK_0020.wav');
  const bytes = 2 * 3600 * 48_000 * 3;
  const file = await open(path, 'r+');
  const sizes = Buffer.alloc(4);
  // The sizes of the file and of its data, in the header that waveFile writes (RIFF/WAVE).
  for (const [value, at] of [
    [bytes + 36, 4],
    [bytes, 40],
  ] as const) {
    sizes.writeUInt32LE(value, 0);
    await file.write(sizes, 0, 4, at);
  }
  await file.truncate(44 + bytes);
  await file.close();
  return path;
}

export interface CameraCoding {
  readonly name: string;
  /** Words for ffmpeg; groups of pictures with pictures that look forward are what frame-exactness is about. */
  readonly words: readonly string[];
}

export const H264: CameraCoding = {
  name: 'CAM_A_0020.mp4',
  words: ['-c:v', 'libx264', '-pix_fmt', 'yuv420p', '-g', '24', '-bf', '3', '-c:a', 'aac', '-movflags', '+faststart'],
};
export const VP9: CameraCoding = {
  name: 'CAM_A_0020.webm',
  words: ['-c:v', 'libvpx-vp9', '-b:v', '400k', '-deadline', 'realtime', '-cpu-used', '8', '-g', '30', '-c:a', 'libopus'],
};
/** No browser decodes it. */
export const MPEG2: CameraCoding = { name: 'CAM_A_0020.mov', words: ['-c:v', 'mpeg2video', '-q:v', '4', '-c:a', 'pcm_s16le'] };

/** False where there is no ffmpeg to make camera files with. */
export async function hasFfmpeg(): Promise<boolean> {
  try {
    await promisify(execFile)('ffmpeg', ['-version']);
    return true;
  } catch {
    return false;
  }
}

/** Camera A with its own sound, which is what the recorder heard, from the first frame on. */
export async function writeCamera(folder: string, coding: CameraCoding): Promise<string> {
  const path = join(folder, coding.name);
  const scratch = join(folder, 'scratch.tmp.wav');
  const length = Math.round(FRAME_COUNT * SAMPLES_PER_FRAME);
  await writeFile(scratch, waveFile(shoot.deck.slice(shoot.startA, shoot.startA + length)));
  const size = `${WIDTH}x${HEIGHT}`;
  const raw = ['-f', 'rawvideo', '-pix_fmt', 'gray', '-s', size, '-r', '24000/1001', '-i', 'pipe:0'];
  const child = spawn('ffmpeg', ['-v', 'error', '-y', ...raw, '-i', scratch, ...coding.words, path], {
    stdio: ['pipe', 'ignore', 'pipe'],
  });
  let complaint = '';
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    complaint += text;
  });
  const ended = new Promise<number | null>((resolve) => child.on('close', resolve));
  for (let frame = 0; frame < FRAME_COUNT; frame += 1) child.stdin.write(pixels(frame));
  child.stdin.end();
  const code = await ended;
  await rm(scratch);
  if (code !== 0) throw new Error(`ffmpeg could not make ${coding.name}: ${complaint}`);
  return path;
}

/** Eight bits of grey for each point. */
function pixels(frame: number): Buffer {
  const image = Buffer.alloc(WIDTH * HEIGHT, 96);
  const fill = (x: number, y: number, width: number, height: number, grey: number): void => {
    for (let row = Math.max(0, y); row < Math.min(HEIGHT, y + height); row += 1) {
      image.fill(grey, row * WIDTH + Math.max(0, x), row * WIDTH + Math.min(WIDTH, x + width));
    }
  };
  for (let bit = 0; bit < BITS; bit += 1) fill(20 + bit * SQUARE, 10, SQUARE, SQUARE, (frame >> bit) & 1 ? 235 : 16);
  const until = FIRST_CLOSED - frame;
  // Closing over eight frames, together for ten, then opening again.
  const gap = until > 0 ? Math.min(90, 6 + until * 11) : until > -10 ? 0 : Math.min(90, (-10 - until) * 8);
  fill(160 - gap - 46, 60, 46, 84, 205);
  fill(160 + gap, 60, 46, 84, 176);
  fill(160 - gap - 14, 66, 14, 72, 225);
  fill(160 + gap, 66, 14, 72, 196);
  return image;
}

/** The number that stands in a frame; `greyAt` tells the grey of a point of the whole picture, from 0 to 1 across and down. */
export function frameNumber(greyAt: (x: number, y: number) => number): number {
  let frame = 0;
  for (let bit = 0; bit < BITS; bit += 1) {
    const x = (20 + bit * SQUARE + SQUARE / 2) / WIDTH;
    if (greyAt(x, (10 + SQUARE / 2) / HEIGHT) > 128) frame |= 1 << bit;
  }
  return frame;
}
