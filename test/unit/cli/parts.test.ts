/**
 * Parts of the command line that are hard to see from outside: edits on bytes, careful writing, the progress line, colour.
 */

import { readdirSync, readFileSync, statSync } from 'node:fs';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { progressLine } from '../../../server/src/cli/progressLine.ts';
import { type OutputStream, painterFor, widthOf } from '../../../server/src/cli/terminal.ts';
import { editBytes, readTextFile, type TextFile } from '../../../server/src/cli/textFile.ts';
import { writeSafely } from '../../../server/src/cli/writeSafely.ts';
import { applyEdits, type TextEdit } from '../../../server/src/core/text/textEdit.ts';
import { makeWorkspace, type Workspace } from './runCli.ts';

let work: Workspace;

beforeEach(() => {
  work = makeWorkspace('empty');
});

afterEach(() => work.dispose());

describe('edits on bytes', () => {
  const anyEdit = fc.record({ at: fc.nat(200), length: fc.nat(6), newText: fc.stringMatching(/^[0-9:.]{0,12}$/) });
  const encoders: Record<TextFile['encoding'], (text: string) => Buffer> = {
    'utf-8': (text) => Buffer.from(text, 'utf8'),
    'utf-16le': (text) => Buffer.from(`\ufeff${text}`, 'utf16le'),
    'utf-16be': (text) => Buffer.from(`\ufeff${text}`, 'utf16le').swap16(),
    'windows-1252': (text) => Buffer.from(text, 'latin1'),
  };

  test.each(Object.keys(encoders) as TextFile['encoding'][])('of %s give the bytes of the edited text', (encoding) => {
    const unit =
      encoding === 'windows-1252' ? fc.constantFrom(...'abc:\u00e9\u00fc\n') : fc.constantFrom('a', ':', 'é', '水', '🎬', '\n');
    fc.assert(
      fc.property(fc.string({ unit, maxLength: 100 }), fc.array(anyEdit, { maxLength: 4 }), (written, drafts) => {
        const text = encoding.startsWith('utf-16') ? `\ufeff${written}` : written;
        const edits = inside(text, drafts);
        const expected = applyEdits(text, edits);
        fc.pre(expected !== null);
        const bytes = encoders[encoding](written);
        const withoutMark = encoding.startsWith('utf-16') ? (expected as string).slice(1) : (expected as string);
        expect(editBytes({ bytes, text, encoding }, edits)).toEqual(encoders[encoding](withoutMark));
      }),
    );
  });

  /** Edits within the text that split no surrogate pair, as those of a format never do, and leave the mark alone. */
  function inside(text: string, drafts: readonly { at: number; length: number; newText: string }[]): readonly TextEdit[] {
    const whole = (offset: number): number => {
      const code = text.charCodeAt(offset);
      return code >= 0xdc00 && code <= 0xdfff ? offset - 1 : offset;
    };
    const first = text.startsWith('\ufeff') ? 1 : 0;
    return drafts.map(({ at, length, newText }) => {
      const start = whole(Math.max(first, Math.min(at, text.length)));
      return { span: { start, end: Math.max(start, whole(Math.min(start + length, text.length))) }, newText };
    });
  }

  test('refuse a character that Windows-1252 would have to be asked for', () => {
    const file: TextFile = { bytes: Buffer.from('a\xfc', 'latin1'), text: 'a\xfc', encoding: 'windows-1252' };
    expect(() => editBytes(file, [{ span: { start: 0, end: 1 }, newText: '水' }])).toThrow(
      "can't be written into a Windows-1252 file",
    );
  });
});

describe('writing', () => {
  test('leaves alone a file that changed since it was read', async () => {
    work.write('cut.edl', 'as read');
    const { bytes } = await readTextFile(work.path('cut.edl'));
    work.write('cut.edl', 'changed by somebody else');
    await expect(writeSafely(work.path('cut.edl'), bytes, Buffer.from('fixed'))).rejects.toThrow('changed while it was checked');
    expect(readFileSync(work.path('cut.edl'), 'utf8')).toBe('changed by somebody else');
    expect(readdirSync(work.folder)).toEqual(['cut.edl']);
  });

  test('puts a new file in place of the old one, whole, with its mode', async () => {
    work.write('cut.edl', 'old');
    const { mode, ino } = statSync(work.path('cut.edl'));
    await writeSafely(work.path('cut.edl'), Buffer.from('old'), Buffer.from('new'));
    expect(readFileSync(work.path('cut.edl'), 'utf8')).toBe('new');
    expect(statSync(work.path('cut.edl')).mode).toBe(mode);
    expect(statSync(work.path('cut.edl')).ino).not.toBe(ino);
    expect(readdirSync(work.folder)).toEqual(['cut.edl']);
  });

  test('says when the file has gone', async () => {
    await expect(writeSafely(work.path('gone.edl'), Buffer.from('a'), Buffer.from('b'))).rejects.toThrow('no such file');
  });
});

describe('the progress line', () => {
  function recorder(isTerminal: boolean): { stream: OutputStream; written: string[] } {
    const written: string[] = [];
    return { stream: { write: (text) => written.push(text), isTerminal, columns: 30 }, written };
  }

  test('is silent for a second, then shows a line that fits, and is gone at the end', () => {
    const { stream, written } = recorder(true);
    let time = 0;
    const progress = progressLine(stream, () => time);
    progress.show(0, 9, 'first.edl');
    time = 999;
    progress.show(1, 9, 'second.edl');
    expect(written).toEqual([]);
    time = 1001;
    progress.show(2, 9, 'a name that is much too long for thirty columns.edl');
    time = 1050;
    progress.show(3, 9, 'too soon after the last one.edl');
    progress.clear();
    progress.clear();
    expect(written).toEqual(['\r\u001b[K2 of 9  a name that is much t', '\r\u001b[K']);
  });

  test('is never shown where standard error is no terminal', () => {
    const { stream, written } = recorder(false);
    let time = 0;
    const progress = progressLine(stream, () => time);
    time = 5000;
    progress.show(1, 2, 'cut.edl');
    progress.clear();
    expect(written).toEqual([]);
  });
});

describe('a terminal', () => {
  const terminal: OutputStream = { write: () => {}, isTerminal: true, columns: 90 };
  const file: OutputStream = { write: () => {}, isTerminal: false, columns: null };
  const isPainted = (stream: OutputStream, environment: Record<string, string>): boolean =>
    painterFor(stream, environment).strong('x') !== 'x';

  test('gets colour, unless the environment says no', () => {
    expect(isPainted(terminal, {})).toBe(true);
    expect(isPainted(file, {})).toBe(false);
    expect(isPainted(terminal, { NO_COLOR: '1' })).toBe(false);
    expect(isPainted(terminal, { NO_COLOR: '' })).toBe(true);
    expect(isPainted(terminal, { TERM: 'dumb' })).toBe(false);
    expect(isPainted(file, { FORCE_COLOR: '1' })).toBe(true);
    expect(isPainted(terminal, { FORCE_COLOR: '0' })).toBe(false);
    expect(isPainted(file, { FORCE_COLOR: '1', NO_COLOR: '1' })).toBe(true);
  });

  test('decides the width, within reason', () => {
    expect(widthOf(terminal)).toBe(90);
    expect(widthOf(file)).toBe(120);
    expect(widthOf({ ...terminal, columns: 10 })).toBe(60);
    expect(widthOf({ ...terminal, columns: 900 })).toBe(200);
  });
});
