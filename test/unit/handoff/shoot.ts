/**
 * A small invented shoot with recordings on the disk: one scene, a recorder that heard it, a camera that heard it too on a clock of its
 * own, a report that says how the two lie, and a cut.
 */

import { writeTestReport } from '../../support/report.ts';
import type { Workspace } from '../cli/runCli.ts';
import { resampleExactly } from '../sound/synthesis/signal.ts';
import { ascii, type Chunk, dataChunk, encodeSamples, formatChunk, type SampleKind, waveFile } from '../sound/waveBytes.ts';

export const RATE = 48000;
/** Samples of a frame at 24000/1001. */
export const FRAME = 2002;

/** Noise that never repeats, coloured like a voice, with an envelope that comes and goes. Made the cheap way: tests need minutes of it. */
export function inventSound(seed: string, seconds: number): Float64Array {
  let state = [...seed].reduce((sum, letter) => Math.imul(sum, 31) + letter.charCodeAt(0), 7) | 1;
  let low = 0;
  return Float64Array.from({ length: Math.round(seconds * RATE) }, (_, index) => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    low += 0.3 * (state * 2 ** -31 - low);
    return low * 0.6 * (0.25 + 0.75 * Math.abs(Math.sin(index / 9100) * Math.sin(index / 23_300)));
  });
}

export interface Hearing {
  /** Recorder sample at the camera's first frame; fractions and negative ones too. */
  readonly offset: number;
  /** How much faster the recorder's clock counts. */
  readonly driftPpm: number;
  readonly frames: number;
}

/** What the camera's own microphone recorded: `count` samples from its sample `at` on. */
export function scratchOf(recorded: Float64Array, { offset, driftPpm }: Hearing, at: number, count: number): Float64Array {
  const step = 1 + driftPpm * 1e-6;
  return resampleExactly(recorded, offset + at * step, step, count);
}

export interface RecorderFile {
  readonly kind?: SampleKind;
  readonly timeReference?: number;
  readonly ixml?: string;
  readonly sampleRate?: number;
}

export function recorderFile(
  channels: readonly ArrayLike<number>[],
  { kind = 's24', timeReference, ixml, sampleRate = RATE }: RecorderFile = {},
): Uint8Array {
  const bits = { u8: 8, s16: 16, s24: 24, s32: 32, f32: 32, f64: 64 }[kind];
  const chunks: Chunk[] = [formatChunk({ tag: kind.startsWith('f') ? 3 : 1, bits, channels: channels.length, sampleRate })];
  if (timeReference !== undefined) chunks.push(broadcast(timeReference));
  if (ixml !== undefined) chunks.push({ id: 'iXML', body: new TextEncoder().encode(ixml) });
  return waveFile([...chunks, dataChunk(encodeSamples(kind, ...channels))]);
}

/** EBU Tech 3285: dates at 320 and 330, TimeReference at 338, version at 346, coding history from 602. */
function broadcast(timeReference: number): Chunk {
  const history = 'A=PCM,F=48000,W=24,M=stereo,T=invented recorder\r\n';
  const body = new Uint8Array(602 + history.length);
  body.set(ascii('an invented recording'), 0);
  body.set(ascii('2026-03-04'), 320);
  body.set(ascii('09:12:00'), 330);
  const view = new DataView(body.buffer);
  view.setUint32(338, timeReference >>> 0, true);
  view.setUint32(342, Math.floor(timeReference / 2 ** 32), true);
  view.setUint16(346, 1, true);
  body.set(ascii(history), 602);
  return { id: 'bext', body };
}

export interface ShootPair {
  readonly picture: string;
  readonly sound: string;
  readonly hearing: Hearing;
  readonly samples?: number;
  readonly start?: string;
}

/** The report of pairs that lie as they were heard, each laid on its frame 100. */
export function reportOf(pairs: readonly ShootPair[]): string {
  const frame = 100;
  return writeTestReport({
    pictures: Object.fromEntries(
      pairs.map(({ picture, hearing, start }) => [
        picture,
        { names: [`${picture}.mov`], rate: '24000/1001', start: start ?? '01:00:00:00', frames: hearing.frames },
      ]),
    ),
    sounds: Object.fromEntries(
      pairs.map(({ sound, samples }) => [
        sound,
        { names: [`${sound}.wav`], sampleRate: RATE, ...(samples === undefined ? {} : { samples }) },
      ]),
    ),
    pairs: pairs.map(({ picture, sound, hearing: { offset, driftPpm } }) => ({
      picture,
      sound,
      frame,
      // Eight decimals: a report writes what was measured, not a double.
      sample: Number((offset + frame * FRAME * (1 + driftPpm * 1e-6)).toFixed(8)),
      driftPpm,
      by: 'clap',
      clap: 1,
    })),
  });
}

export interface CutClip {
  readonly track: string;
  readonly file: string;
  /** Frames on the record, and in the file from its first frame. */
  readonly at: number;
  readonly length: number;
  readonly from: number;
  readonly name?: string;
}

/** A cut as OTIO at 24000/1001 whose media count from their first frame. */
export function cutOf(clips: readonly CutClip[], start = 86_400): string {
  const rate = 24000 / 1001;
  const time = (value: number): object => ({ OTIO_SCHEMA: 'RationalTime.1', rate, value });
  const range = (at: number, length: number): object => ({
    OTIO_SCHEMA: 'TimeRange.1',
    start_time: time(at),
    duration: time(length),
  });
  const tracks = [...new Set(clips.map(({ track }) => track))].map((track) => {
    const children: object[] = [];
    let end = 0;
    for (const clip of clips.filter((candidate) => candidate.track === track)) {
      if (clip.at > end) children.push({ OTIO_SCHEMA: 'Gap.1', source_range: range(0, clip.at - end) });
      children.push({
        OTIO_SCHEMA: 'Clip.2',
        name: clip.name ?? clip.file,
        source_range: range(clip.from, clip.length),
        media_references: {
          DEFAULT_MEDIA: { OTIO_SCHEMA: 'ExternalReference.1', target_url: clip.file, available_range: range(0, 1_000_000) },
        },
        active_media_reference_key: 'DEFAULT_MEDIA',
        metadata: {},
      });
      end = clip.at + clip.length;
    }
    return { OTIO_SCHEMA: 'Track.1', name: track, kind: track.startsWith('V') ? 'Video' : 'Audio', children };
  });
  const timeline = {
    OTIO_SCHEMA: 'Timeline.1',
    name: 'invented cut',
    global_start_time: time(start),
    tracks: { OTIO_SCHEMA: 'Stack.1', name: 'tracks', children: tracks },
  };
  return `${JSON.stringify(timeline, null, 2)}\n`;
}

/** One camera, one recorder, one cut of both. */
export function layOut(
  work: Workspace,
  seed: string,
  hearing: Hearing,
  file: RecorderFile = {},
): { readonly recorded: Float64Array; readonly bytes: Uint8Array } {
  const seconds = (hearing.frames * FRAME) / RATE;
  const recorded = inventSound(seed, Math.max(2, seconds + hearing.offset / RATE + 1));
  const second = recorded.toReversed();
  const bytes = recorderFile([recorded, second], file);
  work.write('deck.wav', bytes);
  work.write('cut.alignment.json', reportOf([{ picture: 'cam', sound: 'deck', hearing, samples: recorded.length }]));
  const soundFrom = Math.max(0, Math.round((hearing.offset + 48 * FRAME) / FRAME));
  work.write(
    'cut.otio',
    cutOf([
      { track: 'V1', file: 'cam.mov', at: 0, length: 48, from: 48 },
      { track: 'A1', file: 'deck.wav', at: 0, length: 48, from: soundFrom },
    ]),
  );
  return { recorded, bytes };
}
