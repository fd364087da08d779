/**
 * Files as text that can be written back byte for byte.
 *
 * Timelines are UTF-8; old edit decision lists hold single bytes of Windows-1252, and XML may come as UTF-16. Edits are made
 * on the bytes, at the places the text offsets stand for, so that everything a fix does not touch stays as it was, whatever it
 * is. A byte order mark stays in the text as its first character.
 */

import { isUtf8 } from 'node:buffer';
import { readFile, stat } from 'node:fs/promises';
import { type TextEdit, withoutRepeats } from '../core/text/textEdit.ts';
import { UserError } from './userError.ts';

export type Encoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252';

export interface TextFile {
  readonly bytes: Buffer;
  readonly text: string;
  readonly encoding: Encoding;
}

/** Within this many bytes a media file shows a zero byte; padding at the end of an old list stands further on. */
const BYTES_LOOKED_AT = 1024;

/** The file as text. Throws a UserError that says in one line why it can't be read. */
export async function readTextFile(path: string): Promise<TextFile> {
  const bytes = await readBytes(path);
  if (bytes.length === 0) throw new UserError(`${path} is empty: there is nothing in it to check; export it again`);
  return decode(path, bytes);
}

/** The bytes of a regular file. Throws a UserError. */
export async function readBytes(path: string): Promise<Buffer> {
  try {
    const status = await stat(path);
    if (status.isDirectory()) throw new UserError(`${path} is a folder; a file is wanted here`);
    if (!status.isFile()) throw new UserError(`${path} is not a regular file (a device or a pipe), so it is not read`);
    return await readFile(path);
  } catch (error) {
    throw error instanceof UserError ? error : new UserError(`can't read ${path}: ${systemReason(error)}`);
  }
}

/** What the system answered, in words. */
export function systemReason(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  switch (code) {
    case 'ENOENT':
    case 'ENOTDIR':
      return 'there is no such file or folder';
    case 'EACCES':
    case 'EPERM':
      return 'permission denied';
    case 'EROFS':
      return 'the disk is read-only';
    case 'ENOSPC':
      return 'the disk is full';
    case 'ELOOP':
      return 'its links lead in a circle';
    case 'ENAMETOOLONG':
      return 'the name is too long';
    case 'ERR_FS_FILE_TOO_LARGE':
    case 'ERR_STRING_TOO_LONG':
      return 'it is too large to be a timeline';
    default:
      return error instanceof Error ? error.message : String(error);
  }
}

/** The bytes with the edits made, nothing else touched. Throws a UserError when a character does not exist in the encoding. */
export function editBytes(file: TextFile, edits: readonly TextEdit[]): Buffer {
  const parts: Buffer[] = [];
  let textAt = 0;
  let byteAt = 0;
  for (const { span, newText } of withoutRepeats(edits)) {
    const startByte = byteAt + byteLength(file, textAt, span.start);
    const endByte = startByte + byteLength(file, span.start, span.end);
    parts.push(file.bytes.subarray(byteAt, startByte), encode(newText, file.encoding));
    textAt = span.end;
    byteAt = endByte;
  }
  return Buffer.concat([...parts, file.bytes.subarray(byteAt)]);
}

function decode(path: string, bytes: Buffer): TextFile {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return { bytes, text: bytes.toString('utf16le'), encoding: 'utf-16le' };
  if (bytes[0] === 0xfe && bytes[1] === 0xff) {
    const swapped = Buffer.from(bytes.subarray(0, bytes.length - (bytes.length % 2))).swap16();
    return { bytes, text: swapped.toString('utf16le'), encoding: 'utf-16be' };
  }
  if (bytes.subarray(0, BYTES_LOOKED_AT).includes(0)) {
    throw new UserError(`${path} is a binary file, not a timeline as text; check what was exported`);
  }
  try {
    if (isUtf8(bytes)) return { bytes, text: bytes.toString('utf8'), encoding: 'utf-8' };
    return { bytes, text: new TextDecoder('windows-1252').decode(bytes), encoding: 'windows-1252' };
  } catch (error) {
    throw new UserError(`can't read ${path}: ${systemReason(error)}`);
  }
}

function byteLength(file: TextFile, start: number, end: number): number {
  switch (file.encoding) {
    case 'utf-8':
      return Buffer.byteLength(file.text.slice(start, end), 'utf8');
    case 'windows-1252':
      return end - start;
    case 'utf-16le':
    case 'utf-16be':
      return (end - start) * 2;
  }
}

function encode(text: string, encoding: Encoding): Buffer {
  switch (encoding) {
    case 'utf-8':
      return Buffer.from(text, 'utf8');
    case 'utf-16le':
      return Buffer.from(text, 'utf16le');
    case 'utf-16be':
      return Buffer.from(text, 'utf16le').swap16();
    case 'windows-1252': {
      for (const character of text) {
        if (character.charCodeAt(0) > 0x7e) throw new UserError(`'${character}' can't be written into a Windows-1252 file`);
      }
      return Buffer.from(text, 'latin1');
    }
  }
}
