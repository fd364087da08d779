/**
 * Bytes of a timeline, report or settings file as text.
 *
 * UTF-8 is what files should be. Old edit decision lists hold single bytes of Windows-1252, XML may come as UTF-16 with a byte
 * order mark. Which it was is told, so that an edge can write the file back as it came.
 *
 * A byte order mark stays in the text as its first character: offsets then count what the file holds.
 */

import type { TextEncoding } from './fileSystem.ts';

export type DecodedText =
  | { readonly ok: true; readonly text: string; readonly encoding: TextEncoding }
  | { readonly ok: false; readonly reason: string };

/** A recording or a picture shows a zero byte this early; the padding of an old list stands later. */
const BYTES_LOOKED_AT = 1024;

/**
 * What Windows-1252 has for the bytes 0x80 to 0x9F; the five it leaves open are control characters, as in the WHATWG Encoding
 * Standard. Written out, since decoders of this name have been known to take it for ISO 8859-1.
 */
const WINDOWS_1252_HIGH =
  '\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f' +
  '\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178';

export function decodeText(bytes: Uint8Array): DecodedText {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return decodeWith('utf-16le', bytes);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return decodeWith('utf-16be', bytes);
  if (bytes.subarray(0, BYTES_LOOKED_AT).includes(0)) return { ok: false, reason: 'holds no text, but binary data' };
  try {
    return { ok: true, text: new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes), encoding: 'utf-8' };
  } catch (error) {
    // A text too long for the engine is no sign of another encoding.
    if (!(error instanceof TypeError)) return { ok: false, reason: 'is too long to be read as one text' };
    return { ok: true, text: decodeWindows1252(bytes), encoding: 'windows-1252' };
  }
}

/** What to tell people about an encoding that is not UTF-8, as the rest of a sentence; null for UTF-8. */
export function encodingRemark(encoding: TextEncoding): string | null {
  switch (encoding) {
    case 'utf-8':
      return null;
    case 'windows-1252':
      return 'is not valid UTF-8 and was read as Windows-1252; check names with accents';
    case 'utf-16le':
    case 'utf-16be':
      return 'is written in UTF-16';
  }
}

function decodeWith(encoding: 'utf-16le' | 'utf-16be', bytes: Uint8Array): DecodedText {
  return { ok: true, text: new TextDecoder(encoding, { ignoreBOM: true }).decode(bytes), encoding };
}

function decodeWindows1252(bytes: Uint8Array): string {
  const parts: string[] = [];
  const blockSize = 8192;
  for (let start = 0; start < bytes.length; start += blockSize) {
    const block = bytes.subarray(start, start + blockSize);
    const units = Uint16Array.from(block, (byte) =>
      byte >= 0x80 && byte < 0xa0 ? WINDOWS_1252_HIGH.charCodeAt(byte - 0x80) : byte,
    );
    parts.push(String.fromCharCode(...units));
  }
  return parts.join('');
}
