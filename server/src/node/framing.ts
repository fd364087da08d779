/**
 * Whether the bytes of a client can still be told apart into messages.
 *
 * A message is a header, an empty line and as many bytes as the header says. Once a header can't be read, nothing that follows can:
 * a server that went on would wait for ever for a message that never ends, and the person would wait with it. So this is said, once,
 * and the server ends. What is inside a message is none of this file's business.
 *
 * Source: Language Server Protocol 3.17, 'Base Protocol'. Cost: headers are looked at, bodies are skipped.
 */

/** Longer headers hold something else; ours hold two lines of some fifty characters. */
const LARGEST_HEADER_BYTES = 4096;
/** No JavaScript string holds more, so no message can. */
const LARGEST_BODY_BYTES = 512 * 1024 * 1024;

/** Takes what arrives, piece by piece, and answers why no more can be read; null as long as it can. */
export function createFramingCheck(): (chunk: Uint8Array) => string | null {
  let header = '';
  let bodyBytesLeft = 0;
  return (chunk) => {
    let at = 0;
    while (at < chunk.length) {
      if (bodyBytesLeft > 0) {
        const skipped = Math.min(bodyBytesLeft, chunk.length - at);
        bodyBytesLeft -= skipped;
        at += skipped;
        continue;
      }
      header += String.fromCharCode(chunk[at] as number);
      at += 1;
      if (header.endsWith('\r\n\r\n')) {
        const length = bodyLengthIn(header);
        if (typeof length === 'string') return length;
        bodyBytesLeft = length;
        header = '';
      } else if (header.length > LARGEST_HEADER_BYTES) {
        return `there is no end of a header in ${LARGEST_HEADER_BYTES} bytes that begin with ${shown(header)}`;
      }
    }
    return null;
  };
}

/** The length that a header states, or what is wrong with it. */
function bodyLengthIn(header: string): number | string {
  const lines = header.split('\r\n').filter((line) => line !== '');
  const broken = lines.find((line) => !/^[\w-]+:/.test(line));
  if (broken !== undefined) return `${shown(broken)} is no line of a header`;
  const stated = lines.find((line) => /^content-length:/i.test(line));
  if (stated === undefined) return `the header ${shown(header.trim())} has no Content-Length`;
  const value = stated.slice(stated.indexOf(':') + 1).trim();
  if (!/^\d+$/.test(value)) return `a Content-Length of ${shown(value)} is no number of bytes`;
  if (Number(value) > LARGEST_BODY_BYTES)
    return `a Content-Length of ${value} is more than the ${LARGEST_BODY_BYTES} bytes that can be read`;
  return Number(value);
}

function shown(text: string): string {
  return JSON.stringify(text.length <= 60 ? text : `${text.slice(0, 60)}…`);
}
