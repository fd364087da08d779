/**
 * Bytes as text, for messages that are JSON: base64 (RFC 4648, clause 4). The client may import this file.
 */

/** Characters of one call: a function takes only so many arguments. */
const PIECE_BYTES = 0x6000;

export function base64OfBytes(bytes: Uint8Array): string {
  const pieces: string[] = [];
  for (let at = 0; at < bytes.length; at += PIECE_BYTES)
    pieces.push(String.fromCharCode(...bytes.subarray(at, at + PIECE_BYTES)));
  return btoa(pieces.join(''));
}

/** Throws for a text that is no base64. */
export function bytesOfBase64(base64: string): Uint8Array<ArrayBuffer> {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let at = 0; at < text.length; at += 1) bytes[at] = text.charCodeAt(at);
  return bytes;
}
