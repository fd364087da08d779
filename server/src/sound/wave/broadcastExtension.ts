/**
 * The `bext` chunk of a broadcast wave file: who recorded it, and when its first sample fell.
 *
 * Field offsets are those of EBU Tech 3285 version 2 (2011). The time stamp is two 32-bit words; both are always joined,
 * because at 96 kHz the afternoon does not fit into one. It counts samples since midnight at the rate of the `fmt ` chunk and
 * may exceed a day: non-drop labels at 24000/1001 run 0.1 % slow, so late evening lies past 24 hours of samples.
 */

import type { SoundProblem } from '../soundProblem.ts';

export interface BroadcastExtension {
  readonly description: string;
  readonly originator: string;
  readonly originatorReference: string;
  /** As written: `yyyy-mm-dd`, with any of the separators the standard permits. */
  readonly originationDate: string;
  readonly originationTime: string;
  /** Samples from midnight to the first sample. Exact: a 64-bit count beyond 2^53 is refused, see `problems`. */
  readonly timeReference: number;
  readonly version: number;
  readonly codingHistory: string;
}

/** Bytes before CodingHistory: the sum of the fixed fields in EBU Tech 3285. */
const BEXT_FIXED_BYTES = 602;

const TIME_REFERENCE_END = 346;

/** Reads a `bext` chunk. Null when it is too short to hold a time stamp; a shorter version of the rest is read as far as it goes. */
export function readBroadcastExtension(chunk: Uint8Array, problems: SoundProblem[]): BroadcastExtension | null {
  if (chunk.length < TIME_REFERENCE_END) {
    problems.push({
      severity: 'warning',
      message: `The bext chunk has ${chunk.length} bytes; the time stamp ends at byte ${TIME_REFERENCE_END}, so this file's stamp is unknown.`,
    });
    return null;
  }
  if (chunk.length < BEXT_FIXED_BYTES) {
    problems.push({
      severity: 'information',
      message: `The bext chunk has ${chunk.length} of at least ${BEXT_FIXED_BYTES} bytes; what it holds was read.`,
    });
  }
  const view = new DataView(chunk.buffer, chunk.byteOffset, chunk.byteLength);
  const timeReference = view.getUint32(338, true) + view.getUint32(342, true) * 2 ** 32;
  const isStampUsable = Number.isSafeInteger(timeReference);
  if (!isStampUsable) {
    problems.push({ severity: 'warning', message: 'The bext time stamp lies beyond any day of samples; it is taken as 0.' });
  }
  return {
    description: textField(chunk, 0, 256),
    originator: textField(chunk, 256, 32),
    originatorReference: textField(chunk, 288, 32),
    originationDate: textField(chunk, 320, 10),
    originationTime: textField(chunk, 330, 8),
    timeReference: isStampUsable ? timeReference : 0,
    version: chunk.length >= 348 ? view.getUint16(346, true) : 0,
    codingHistory: textField(chunk, BEXT_FIXED_BYTES, Math.max(0, chunk.length - BEXT_FIXED_BYTES)),
  };
}

/** The standard says ASCII; recorders write Latin letters too, so each byte is taken as one Latin-1 letter. */
function textField(chunk: Uint8Array, offset: number, length: number): string {
  let text = '';
  for (let index = offset; index < Math.min(offset + length, chunk.length); index += 1) {
    const code = chunk[index] as number;
    if (code === 0) break;
    text += String.fromCharCode(code);
  }
  return text.trimEnd();
}
