/**
 * Writes the body of a `bext` chunk (EBU Tech 3285 version 1).
 *
 * Version 1, because version 2 adds loudness figures and nothing here measures them. Text fields are ASCII: other letters become
 * their plain form where they have one, else a question mark, so that no reader stumbles over them.
 */

export interface BroadcastFields {
  readonly description: string;
  readonly originator: string;
  readonly originatorReference: string;
  /** `yyyy-mm-dd`; empty when nobody knows. */
  readonly originationDate: string;
  /** `hh:mm:ss`; empty when nobody knows. */
  readonly originationTime: string;
  /** Samples since midnight of the first sample. */
  readonly timeReference: number;
  /** Lines ended with CR/LF. */
  readonly codingHistory: string;
}

const FIXED_BYTES = 602;
const VERSION = 1;

export function broadcastChunk(fields: BroadcastFields): Uint8Array {
  const history = asciiText(fields.codingHistory);
  const bytes = new Uint8Array(FIXED_BYTES + history.length);
  const put = (text: string, offset: number, length: number): void => {
    bytes.set(latinBytes(asciiText(text).slice(0, length)), offset);
  };
  put(fields.description, 0, 256);
  put(fields.originator, 256, 32);
  put(fields.originatorReference, 288, 32);
  put(fields.originationDate, 320, 10);
  put(fields.originationTime, 330, 8);
  const view = new DataView(bytes.buffer);
  view.setUint32(338, fields.timeReference % 2 ** 32, true);
  view.setUint32(342, Math.floor(fields.timeReference / 2 ** 32), true);
  view.setUint16(346, VERSION, true);
  bytes.set(latinBytes(history), FIXED_BYTES);
  return bytes;
}

/** The text in ASCII; line breaks stay. */
function asciiText(text: string): string {
  return text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .replace(/[^\x20-\x7e\r\n]/gu, '?');
}

function latinBytes(text: string): Uint8Array {
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
}
