/**
 * Reads the header of a WAV, BWF, RF64 or BW64 file, and says in plain sentences where the file and its header disagree.
 *
 * Recorders lose power, cards are pulled, copies are cut short: the header is then older than the samples. We read what is
 * there. The size of the file outranks every size written in it; nothing is ever read past the end.
 *
 * Layouts: RIFF/WAVE chunks; RF64 and `ds64` by EBU Tech 3306 / ITU-R BS.2088 (64-bit sizes, low byte first); `bext` by
 * EBU Tech 3285. Cost: one small read per chunk, whatever the length of the sound.
 */

import type { ByteSource } from '../byteSource.ts';
import type { SoundProblem } from '../soundProblem.ts';
import { type BroadcastExtension, readBroadcastExtension } from './broadcastExtension.ts';
import { type FormatChunk, readFormatChunk } from './formatChunk.ts';
import { type Ixml, readIxml } from './ixml.ts';
import type { WaveHeader } from './waveHeader.ts';

export interface WaveReading {
  /** Null when no sample can be read; then at least one problem is an error. */
  readonly header: WaveHeader | null;
  readonly problems: readonly SoundProblem[];
}

/** `bext` and `iXML` chunks beyond this are taken for damage: real ones are a few kilobytes. */
const LARGEST_TEXT_CHUNK = 16 * 1024 * 1024;
/** Chunks walked before a file is taken for damage. */
const MOST_CHUNKS = 10_000;
const UNKNOWN_SIZE = 0xffffffff;

interface Walk {
  readonly source: ByteSource;
  readonly problems: SoundProblem[];
  container: WaveHeader['container'];
  sizes64: ReadonlyMap<string, number>;
  format: FormatChunk | null;
  data: { readonly offset: number; readonly bytes: number } | null;
  broadcast: BroadcastExtension | null;
  ixml: Ixml | null;
}

export async function readWaveHeader(source: ByteSource): Promise<WaveReading> {
  const problems: SoundProblem[] = [];
  const refuse = (message: string): WaveReading => ({ header: null, problems: [...problems, { severity: 'error', message }] });
  if (source.size === 0) return refuse('The file is empty (0 bytes).');
  const start = await source.read(0, 12);
  const id = start.length >= 4 ? idAt(start, 0) : '';
  if (id === 'RIFX') return refuse('This is a RIFX file (high byte first), which is not supported; convert it to WAV.');
  if (start.length < 12 || (id !== 'RIFF' && id !== 'RF64' && id !== 'BW64') || idAt(start, 8) !== 'WAVE') {
    return refuse('This is not a WAV file: it does not begin with RIFF, RF64 or BW64 and WAVE.');
  }
  const walk: Walk = {
    source,
    problems,
    container: id,
    sizes64: new Map(),
    format: null,
    data: null,
    broadcast: null,
    ixml: null,
  };
  const formSize = viewOf(start).getUint32(4, true);
  await walkChunks(walk);
  checkFormSize(walk, formSize);

  const { format, data } = walk;
  if (format === null) return refuse('The file has no usable fmt chunk, so the meaning of its samples is unknown.');
  if (format.refusal !== null) return refuse(format.refusal);
  if (data === null) return refuse('The file has no data chunk: it holds no samples.');
  const sampleCount = Math.floor(data.bytes / format.blockBytes);
  const rest = data.bytes - sampleCount * format.blockBytes;
  if (rest > 0) {
    problems.push({
      severity: 'warning',
      message: `The sound ends inside a sample: the last ${count(rest, 'byte')} were left out.`,
    });
  }
  if (sampleCount === 0) problems.push({ severity: 'warning', message: 'The file holds no samples.' });
  problems.push(...format.problems);
  compareCopies(walk, format);
  return {
    header: {
      container: walk.container,
      format: format.format,
      channelCount: format.channelCount,
      sampleRate: format.sampleRate,
      blockBytes: format.blockBytes,
      dataOffset: data.offset,
      dataBytes: sampleCount * format.blockBytes,
      sampleCount,
      broadcast: walk.broadcast,
      ixml: walk.ixml,
    },
    problems,
  };
}

async function walkChunks(walk: Walk): Promise<void> {
  const { source, problems } = walk;
  let offset = 12;
  for (let chunkIndex = 0; offset + 8 <= source.size; chunkIndex += 1) {
    if (chunkIndex === MOST_CHUNKS) {
      problems.push({
        severity: 'warning',
        message: `Reading stopped after ${MOST_CHUNKS} chunks; later ones were not looked at.`,
      });
      return;
    }
    const head = await source.read(offset, 8);
    const id = idAt(head, 0);
    if (!isPlausibleId(id)) {
      problems.push({
        severity: 'warning',
        message: `At byte ${offset} a chunk should begin, but there is none: the rest of the file (${count(source.size - offset, 'byte')}) was left out.`,
      });
      return;
    }
    const written = viewOf(head).getUint32(4, true);
    const claimed = written === UNKNOWN_SIZE ? (walk.sizes64.get(id) ?? UNKNOWN_SIZE) : written;
    const bodyOffset = offset + 8;
    const available = source.size - bodyOffset;
    const size = Math.min(claimed, available);
    await readChunk(walk, id, bodyOffset, size, claimed);
    if (claimed > available) return;
    // A recorder that never went back to write the size leaves 0 there, with samples behind it.
    if (id === 'data' && claimed === 0 && available > 0 && !(await beginsChunk(source, bodyOffset))) {
      problems.push({
        severity: 'warning',
        message: `The data chunk claims 0 bytes, but ${count(available, 'byte')} follow: they were read as sound (the recorder did not finish the file).`,
      });
      walk.data = { offset: bodyOffset, bytes: available };
      return;
    }
    offset = bodyOffset + size + (size % 2);
    if (
      size % 2 === 1 &&
      offset < source.size &&
      !(await beginsChunk(source, offset)) &&
      (await beginsChunk(source, offset - 1))
    ) {
      problems.push({ severity: 'information', message: `The ${id.trim()} chunk has an odd size and no pad byte after it.` });
      offset -= 1;
    }
  }
}

async function readChunk(walk: Walk, id: string, offset: number, size: number, claimed: number): Promise<void> {
  const { source, problems } = walk;
  const isCut = claimed > size;
  switch (id) {
    case 'ds64':
      walk.sizes64 = readSizes64(await source.read(offset, Math.min(size, 28 + 12 * 1024)), problems);
      return;
    case 'fmt ':
      if (walk.format !== null) problems.push({ severity: 'information', message: 'A second fmt chunk was ignored.' });
      else walk.format = readFormatChunk(await source.read(offset, Math.min(size, 64)));
      return;
    case 'data':
      if (walk.data !== null) {
        problems.push({ severity: 'warning', message: `A second data chunk at byte ${offset - 8} was ignored.` });
        return;
      }
      walk.data = { offset, bytes: size };
      if (isCut) {
        problems.push({
          severity: 'warning',
          message:
            claimed === UNKNOWN_SIZE
              ? 'The data chunk does not say how long it is; it was read to the end of the file.'
              : `The data chunk claims ${count(claimed, 'byte')}, but the file ends after ${size} of them: the recording is cut short, and was read as far as it goes.`,
        });
      }
      return;
    case 'bext':
    case 'iXML':
      if (isCut) problems.push({ severity: 'warning', message: `The ${id} chunk is cut off by the end of the file.` });
      if (size > LARGEST_TEXT_CHUNK) {
        problems.push({
          severity: 'warning',
          message: `The ${id} chunk has ${count(size, 'byte')}, far beyond any real one; it was not read.`,
        });
      } else if (id === 'bext') {
        walk.broadcast = readBroadcastExtension(await source.read(offset, size), problems);
      } else {
        walk.ixml = readIxml(await source.read(offset, size), problems);
      }
      return;
    default:
      if (isCut) {
        problems.push({
          severity: 'warning',
          message: `The ${id.trim()} chunk claims ${count(claimed, 'byte')}, more than the file holds.`,
        });
      }
  }
}

/** `ds64`: form size, data size, sample count, then a table of further large chunks (EBU Tech 3306 annex A.2). */
function readSizes64(chunk: Uint8Array, problems: SoundProblem[]): ReadonlyMap<string, number> {
  const sizes = new Map<string, number>();
  if (chunk.length < 24) {
    problems.push({
      severity: 'warning',
      message: `The ds64 chunk has ${chunk.length} bytes; 28 are needed for its 64-bit sizes.`,
    });
    return sizes;
  }
  const view = viewOf(chunk);
  const size64 = (offset: number): number => view.getUint32(offset, true) + view.getUint32(offset + 4, true) * 2 ** 32;
  sizes.set('RIFF', size64(0));
  sizes.set('data', size64(8));
  const tableLength = chunk.length >= 28 ? view.getUint32(24, true) : 0;
  for (let entry = 0; entry < tableLength && 28 + 12 * (entry + 1) <= chunk.length; entry += 1) {
    sizes.set(idAt(chunk, 28 + 12 * entry), size64(28 + 12 * entry + 4));
  }
  return sizes;
}

function checkFormSize(walk: Walk, written: number): void {
  const claimed = written === UNKNOWN_SIZE ? walk.sizes64.get('RIFF') : written;
  if (walk.container !== 'RIFF' && walk.sizes64.size === 0) {
    walk.problems.push({
      severity: 'warning',
      message: `The file says ${walk.container}, but has no ds64 chunk with its true sizes.`,
    });
  }
  if (claimed === undefined) return;
  const actual = walk.source.size - 8;
  if (claimed === actual || claimed === actual - 1 || claimed === actual + 1) return;
  walk.problems.push({
    severity: 'information',
    message: `The header gives the file ${count(claimed + 8, 'byte')}; it has ${walk.source.size}.`,
  });
}

/** iXML repeats values of other chunks; the official chunk is believed, and a difference is worth a sentence. */
function compareCopies(walk: Walk, format: FormatChunk): void {
  const { ixml, broadcast, problems } = walk;
  if (ixml === null) return;
  if (ixml.fileSampleRate !== null && ixml.fileSampleRate !== format.sampleRate) {
    problems.push({
      severity: 'warning',
      message: `iXML gives a sample rate of ${ixml.fileSampleRate} Hz, the fmt chunk ${format.sampleRate} Hz; the fmt chunk is believed.`,
    });
  }
  if (ixml.timestamp !== null && broadcast !== null && ixml.timestamp !== broadcast.timeReference) {
    problems.push({
      severity: 'warning',
      message: `iXML gives a time stamp of ${ixml.timestamp} samples, the bext chunk ${broadcast.timeReference}; the bext chunk is believed.`,
    });
  }
  if (ixml.digitizerSampleRate !== null && ixml.digitizerSampleRate !== format.sampleRate) {
    problems.push({
      severity: 'warning',
      message: `iXML says that the converter ran at ${ixml.digitizerSampleRate} Hz and the file is labelled ${format.sampleRate} Hz: the sound was pulled by ${(((ixml.digitizerSampleRate - format.sampleRate) / format.sampleRate) * 100).toFixed(2)} %.`,
    });
  }
}

async function beginsChunk(source: ByteSource, offset: number): Promise<boolean> {
  if (offset >= source.size - 3) return offset === source.size;
  return isPlausibleId(idAt(await source.read(offset, 4), 0));
}

function isPlausibleId(id: string): boolean {
  return /^[A-Za-z0-9_ ][\x20-\x7e]{3}$/.test(id);
}

function idAt(bytes: Uint8Array, offset: number): string {
  return String.fromCharCode(...bytes.subarray(offset, offset + 4));
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

function count(amount: number, unit: string): string {
  return amount === 1 ? `1 ${unit}` : `${amount} ${unit}s`;
}
