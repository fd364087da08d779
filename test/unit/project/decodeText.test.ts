import { describe, expect, it } from 'vitest';
import { decodeText, encodingRemark } from '../../../server/src/project/decodeText.ts';

function decoded(...bytes: number[]): string {
  const answer = decodeText(Uint8Array.from(bytes));
  return answer.ok ? `${answer.encoding}: ${answer.text}` : answer.reason;
}

describe('the bytes of a file', () => {
  it('are UTF-8, a byte order mark kept as a character', () => {
    expect(decoded(0xc3, 0xa9)).toBe('utf-8: é');
    expect(decoded(0xef, 0xbb, 0xbf, 0x41)).toBe('utf-8: \ufeffA');
    expect(decoded()).toBe('utf-8: ');
  });

  it('are Windows-1252 when they are no UTF-8 (WHATWG Encoding Standard, index windows-1252)', () => {
    expect(decoded(0x43, 0x61, 0x66, 0xe9)).toBe('windows-1252: Café');
    expect(decoded(0x80, 0x92, 0x9f, 0xff)).toBe('windows-1252: €’Ÿÿ');
    expect(decoded(0x81, 0x8d)).toBe('windows-1252: \u0081\u008d');
  });

  it('give every byte of Windows-1252 one character, so that offsets are bytes', () => {
    const bytes = Uint8Array.from({ length: 20_000 }, (_, index) => (index % 255) + 1);
    const answer = decodeText(bytes);
    expect(answer.ok && [answer.encoding, answer.text.length, new Set(answer.text).size]).toEqual(['windows-1252', 20_000, 255]);
  });

  it('are UTF-16 by their byte order mark', () => {
    expect(decoded(0xff, 0xfe, 0x41, 0x00)).toBe('utf-16le: \ufeffA');
    expect(decoded(0xfe, 0xff, 0x00, 0x41)).toBe('utf-16be: \ufeffA');
  });

  it('are no text when a zero byte stands near the beginning', () => {
    expect(decoded(0x52, 0x49, 0x46, 0x46, 0x00)).toBe('holds no text, but binary data');
  });

  it('are told about when they are not UTF-8', () => {
    expect(encodingRemark('utf-8')).toBeNull();
    expect(encodingRemark('windows-1252')).toMatch(/not valid UTF-8 and was read as Windows-1252/);
    expect(encodingRemark('utf-16be')).toMatch(/UTF-16/);
  });
});
