/** Bytes of good and of broken clients. Source: Language Server Protocol 3.17, 'Base Protocol'. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createFramingCheck } from '../../../server/src/node/framing.ts';

function reasonFor(...pieces: readonly (string | Uint8Array)[]): string | null {
  const check = createFramingCheck();
  for (const piece of pieces) {
    const reason = check(typeof piece === 'string' ? Buffer.from(piece, 'latin1') : piece);
    if (reason !== null) return reason;
  }
  return null;
}

function framed(body: Uint8Array, header = 'Content-Length'): Buffer {
  return Buffer.concat([Buffer.from(`${header}: ${body.length}\r\n\r\n`), body]);
}

describe('bytes that can be told apart', () => {
  it('are those of any messages, in pieces of any size', () => {
    fc.assert(
      fc.property(
        fc.array(fc.uint8Array({ maxLength: 60 })),
        fc.infiniteStream(fc.integer({ min: 1, max: 30 })),
        (bodies, sizes) => {
          const check = createFramingCheck();
          let rest: Uint8Array = Buffer.concat(bodies.map((body) => framed(body)));
          for (const size of sizes) {
            if (rest.length === 0) break;
            expect(check(rest.subarray(0, size))).toBeNull();
            rest = rest.subarray(size);
          }
        },
      ),
    );
  });

  it('may have a Content-Type, and names of headers in any case', () => {
    expect(reasonFor('content-length: 2\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n\r\n{}')).toBeNull();
  });

  it('are what comes before the end, wherever it stops', () => {
    const all = framed(Buffer.from('{"jsonrpc":"2.0"}')).toString('latin1');
    for (let length = 0; length <= all.length; length += 1) expect(reasonFor(all.slice(0, length))).toBeNull();
  });
});

describe('bytes that can not', () => {
  it.each([
    ['hello there\r\n\r\n', '"hello there" is no line of a header'],
    ['GARBAGE\r\nContent-Length: 2\r\n\r\n{}', '"GARBAGE" is no line of a header'],
    ['Content-Type: x\r\n\r\n', 'has no Content-Length'],
    ['\r\n\r\n', 'has no Content-Length'],
    ['Content-Length: -5\r\n\r\n', '"-5" is no number of bytes'],
    ['Content-Length: 2e3\r\n\r\n', '"2e3" is no number of bytes'],
    ['Content-Length: 99999999999999\r\n\r\n', 'is more than the 536870912 bytes'],
    ['x'.repeat(5000), 'there is no end of a header in 4096 bytes'],
  ])('%j', (bytes, reason) => {
    expect(reasonFor(bytes)).toContain(reason);
    expect(reasonFor(...[...bytes])).toContain(reason);
    expect(reasonFor(framed(Buffer.from('{"a":"\r\n\r\n"}')), bytes)).toContain(reason);
  });
});
