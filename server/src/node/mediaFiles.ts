/**
 * Recordings on the disk, and camera files through ffprobe and ffmpeg where those are on the PATH.
 *
 * Files are only ever opened for reading. The programs are run without a shell, with nothing on their standard input, and
 * may open plain files only: a playlist in camera's clothing can't reach a network. Decoded camera sound goes into a folder of
 * its own among the system's temporary files, since the measurements jump about in it; the folder goes when it is closed.
 */

import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, open, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type CameraFacts, readCameraFacts } from '../project/measure/cameraFacts.ts';
import type { MediaPort, Opened, ProbeAnswer, Watch } from '../project/measure/mediaPort.ts';
import type { SoundSource } from '../sound/soundSource.ts';
import type { WaveHeader } from '../sound/wave/waveHeader.ts';
import { waveSource } from '../sound/wave/waveSource.ts';
import { openBytes, reasonOf } from './openBytes.ts';

export interface MediaPrograms {
  readonly ffprobe: string;
  readonly ffmpeg: string;
}

const ON_PATH: MediaPrograms = { ffprobe: 'ffprobe', ffmpeg: 'ffmpeg' };
const TOOL_MISSING =
  'is a camera file, and reading those needs the programs ffprobe and ffmpeg, which are not on the PATH. Install ffmpeg; or name this picture in a clap log with its rate and clap frame; or give its sound as WAV with --picture FILE.wav --rate RATE';
const ONLY_FILES = ['-protocol_whitelist', 'file,pipe'];
const LONGEST_ANSWER = 16 * 1024 * 1024;
/** 16 bits hold whatever a camera microphone can hear. */
const BYTES_PER_SAMPLE = 2;

export function createMediaFiles(programs: MediaPrograms = ON_PATH): MediaPort {
  return {
    openBytes,
    probe: (path) => probe(programs, path),
    decodeScratch: (path, facts, watch) => decodeScratch(programs, path, facts, watch),
  };
}

async function probe({ ffprobe }: MediaPrograms, path: string): Promise<ProbeAnswer> {
  const file = await openBytes(path);
  if (!file.ok) return { ...file, isToolMissing: false };
  await file.close();
  if (file.value.size === 0) return { ok: false, reason: 'is empty (0 bytes)', isToolMissing: false };
  const ask = (...words: string[]): Promise<Ran> =>
    run(ffprobe, ['-v', 'error', ...ONLY_FILES, '-print_format', 'json', ...words, `file:${path}`]);
  const first = await ask('-show_format', '-show_streams');
  if (first.kind === 'missing') return { ok: false, reason: TOOL_MISSING, isToolMissing: true };
  const json = first.kind === 'done' ? parsed(first.output) : null;
  if (json === null) return { ok: false, reason: `can't be read as a camera file${detail(first)}`, isToolMissing: false };
  let reading = readCameraFacts(json);
  if (!reading.ok) return { ...reading, isToolMissing: false };
  if (reading.facts.scratch !== null) {
    // The header's start is that of the coded sound; what comes out of the decoder may begin later (priming, pre-skip).
    const [stream = 0] = reading.facts.scratch.streams;
    const block = await ask('-select_streams', String(stream), '-show_entries', 'frame=pts', '-read_intervals', '%+#1');
    const tick = block.kind === 'done' ? firstTick(parsed(block.output)) : null;
    reading = readCameraFacts(json, tick);
    if (!reading.ok) return { ...reading, isToolMissing: false };
  }
  if (reading.facts.frameCount !== null) return reading;
  // No header tells, so every frame of the file is counted; slow only where there is no other way.
  const counted = await ask('-select_streams', 'V:0', '-count_packets', '-show_entries', 'stream=nb_read_packets');
  const frameCount = counted.kind === 'done' ? packetCount(parsed(counted.output)) : null;
  return { ok: true, facts: { ...reading.facts, frameCount } };
}

async function decodeScratch(
  { ffmpeg }: MediaPrograms,
  path: string,
  { scratch }: CameraFacts,
  watch: Watch,
): Promise<Opened<SoundSource>> {
  if (scratch === null) return { ok: false, reason: 'has no sound of its own' };
  const { streams, sampleRate, channelCount } = scratch;
  let folder: string | null = null;
  const clear = async (): Promise<void> => {
    if (folder !== null) await rm(folder, { recursive: true, force: true });
  };
  try {
    folder = await mkdtemp(join(tmpdir(), 'afterclap-scratch-'));
    const target = join(folder, 'scratch.pcm');
    const inputs = streams.map((stream) => `[0:${stream}]`).join('');
    const choice =
      streams.length === 1
        ? ['-map', `0:${streams[0]}`]
        : ['-filter_complex', `${inputs}amerge=inputs=${streams.length}[all]`, '-map', '[all]'];
    const words = ['-nostdin', '-v', 'error', ...ONLY_FILES, '-i', `file:${path}`, ...choice];
    const output = [
      '-vn',
      '-sn',
      '-dn',
      '-ac',
      String(channelCount),
      '-ar',
      String(sampleRate),
      '-c:a',
      'pcm_s16le',
      '-f',
      's16le',
      'pipe:1',
    ];
    const expected = (scratch.seconds ?? 0) * sampleRate * channelCount * BYTES_PER_SAMPLE;
    const file = await open(target, 'wx', 0o600);
    const ran = await run(ffmpeg, [...words, ...output], watch.isCancelled, async (block, written) => {
      await file.appendFile(block);
      watch.onProgress(expected > 0 ? Math.min(1, written / expected) : 0);
    }).finally(() => file.close());
    if (ran.kind === 'missing' || ran.kind === 'cancelled') {
      await clear();
      return { ok: false, reason: ran.kind === 'missing' ? TOOL_MISSING : 'was not read to its end: the work was stopped' };
    }
    const bytes = await openBytes(target);
    // Sound that was had before a damaged place is worth measuring.
    if (!bytes.ok || bytes.value.size === 0) {
      if (bytes.ok) await bytes.close();
      await clear();
      return { ok: false, reason: `has sound that can't be decoded${detail(ran)}` };
    }
    return {
      ok: true,
      value: waveSource(bytes.value, pcmHeader(bytes.value.size, sampleRate, channelCount)),
      remarks: complaintOf(ran) === '' ? [] : [`Its sound was read with trouble, and may be cut short${detail(ran)}.`],
      close: async () => {
        await bytes.close();
        await clear();
      },
    };
  } catch (error) {
    await clear();
    return {
      ok: false,
      reason: `has sound that can't be decoded into ${tmpdir()}: ${reasonOf(error)}. The environment variable TMPDIR names another place`,
    };
  }
}

/** Plain samples, as if a wave file's header had told how they lie. */
function pcmHeader(size: number, sampleRate: number, channelCount: number): WaveHeader {
  const blockBytes = channelCount * BYTES_PER_SAMPLE;
  const sampleCount = Math.floor(size / blockBytes);
  return {
    container: 'RIFF',
    format: { encoding: 'integer', validBits: 8 * BYTES_PER_SAMPLE, containerBytes: BYTES_PER_SAMPLE },
    channelCount,
    sampleRate,
    blockBytes,
    dataOffset: 0,
    dataBytes: sampleCount * blockBytes,
    sampleCount,
    broadcast: null,
    ixml: null,
  };
}

type Ran =
  | { readonly kind: 'done'; readonly output: string; readonly complaint: string }
  | { readonly kind: 'failed'; readonly complaint: string }
  | { readonly kind: 'missing' }
  | { readonly kind: 'cancelled' };

/** Runs a program to its end. What it prints goes to `take` block by block, or into the answer; an error of `take` ends it and is thrown. */
async function run(
  program: string,
  words: readonly string[],
  isCancelled: () => boolean = () => false,
  take: ((block: Buffer, written: number) => Promise<void>) | null = null,
): Promise<Ran> {
  const child = spawn(program, words, { stdio: ['ignore', 'pipe', 'pipe'], windowsHide: true });
  const ended = endOf(child);
  // A program that does not exist rejects at once, before anybody waits for it.
  ended.catch(() => {});
  let complaint = '';
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    if (complaint.length < 4000) complaint += text;
  });
  const blocks: Buffer[] = [];
  let size = 0;
  let isStopped = false;
  try {
    for await (const block of child.stdout as AsyncIterable<Buffer>) {
      size += block.length;
      isStopped = isCancelled() || (take === null && size > LONGEST_ANSWER);
      if (isStopped) break;
      if (take === null) blocks.push(block);
      else await take(block, size);
    }
    if (isStopped) child.kill('SIGKILL');
    const code = await ended;
    if (isStopped) return { kind: 'cancelled' };
    if (code === 0) return { kind: 'done', output: Buffer.concat(blocks).toString('utf8'), complaint };
    return { kind: 'failed', complaint };
  } catch (error) {
    child.kill('SIGKILL');
    if (
      error instanceof Error &&
      'code' in error &&
      error.code === 'ENOENT' &&
      'syscall' in error &&
      String(error.syscall).startsWith('spawn')
    ) {
      return { kind: 'missing' };
    }
    throw error;
  }
}

function endOf(child: ChildProcess): Promise<number | null> {
  return new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('close', resolve);
  });
}

function complaintOf(ran: Ran): string {
  return ran.kind === 'done' || ran.kind === 'failed' ? ran.complaint.trim() : '';
}

/** The last line of a program's complaint, which names the cause. */
function detail(ran: Ran): string {
  const line =
    complaintOf(ran)
      .split('\n')
      .at(-1)
      ?.replace(/^.*file:\S*:\s*/, '')
      .trim() ?? '';
  return line === '' ? '' : ` (ffmpeg says: ${line})`;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return null;
  }
}

function firstTick(json: unknown): number | null {
  const tick = (json as { readonly frames?: readonly { readonly pts?: unknown }[] } | null)?.frames?.[0]?.pts;
  return Number.isSafeInteger(tick) ? (tick as number) : null;
}

function packetCount(json: unknown): number | null {
  const text = (json as { readonly streams?: readonly { readonly nb_read_packets?: unknown }[] } | null)?.streams?.[0]
    ?.nb_read_packets;
  const count = Number(text);
  return Number.isSafeInteger(count) && count > 0 ? count : null;
}
