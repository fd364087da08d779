/**
 * Files as text that can be written back byte for byte.
 *
 * Edits are made on the bytes, at the places the text offsets stand for, so that everything a fix does not touch stays as it
 * was, whatever it is. The text holds every character of the file, a byte order mark too (see project/decodeText.ts).
 */

import { readFile, stat } from 'node:fs/promises';
import { type TextEdit, withoutRepeats } from '../core/text/textEdit.ts';
import { decodeText } from '../project/decodeText.ts';
import type { TextEncoding } from '../project/fileSystem.ts';
import { UserError } from './userError.ts';

export interface TextFile {
  readonly bytes: Buffer;
  readonly text: string;
  readonly encoding: TextEncoding;
}

/** The file as text. Throws a UserError that says in one line why it can't be read. */
export async function readTextFile(path: string): Promise<TextFile> {
  const bytes = await readBytes(path);
  if (bytes.length === 0) throw new UserError(`${path} is empty: there is nothing in it to check; export it again`);
  const decoded = decodeText(bytes);
  if (!decoded.ok) throw new UserError(`${path} ${decoded.reason}; check what was exported`);
  return { bytes, text: decoded.text, encoding: decoded.encoding };
}

/** The bytes of a regular file. Throws a UserError. */
export async function readBytes(path: string): Promise<Buffer> {
  try {
    const status = await stat(path);
    if (status.isDirectory()) throw new UserError(`${path} is a folder; a file is wanted here`);
    if (!status.isFile()) throw new UserError(`${path} is not a regular file, but a device or a pipe`);
    return await readFile(path);
  } catch (error) {
    throw error instanceof UserError ? error : new UserError(`can't read ${path}: ${systemReason(error)}`);
  }
}

/** What the system answered, in words. */
export function systemReason(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  return REASONS[code] ?? (error instanceof Error ? error.message : String(error));
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file or folder',
  ENOTDIR: 'there is no such file or folder',
  EACCES: 'permission denied',
  EPERM: 'permission denied',
  EROFS: 'the disk is read-only',
  ENOSPC: 'the disk is full',
  ELOOP: 'its links lead in a circle',
  ENAMETOOLONG: 'the name is too long',
  ERR_FS_FILE_TOO_LARGE: 'it is too large to be a timeline',
};

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

function byteLength({ text, encoding }: TextFile, start: number, end: number): number {
  switch (encoding) {
    case 'utf-8':
      return Buffer.byteLength(text.slice(start, end), 'utf8');
    case 'windows-1252':
      return end - start;
    case 'utf-16le':
    case 'utf-16be':
      return (end - start) * 2;
  }
}

function encode(text: string, encoding: TextEncoding): Buffer {
  switch (encoding) {
    case 'utf-8':
      return Buffer.from(text, 'utf8');
    case 'utf-16le':
      return Buffer.from(text, 'utf16le');
    case 'utf-16be':
      return Buffer.from(text, 'utf16le').swap16();
    case 'windows-1252':
      // Fixes write numbers and labels; anything above ASCII would need the whole table here for nothing.
      if (Buffer.byteLength(text, 'utf8') !== text.length)
        throw new UserError(`'${text}' can't be written into a Windows-1252 file`);
      return Buffer.from(text, 'latin1');
  }
}
