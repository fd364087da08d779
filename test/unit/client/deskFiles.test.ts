/**
 * Bytes for the clap desk where no disk is: of files that a person gave a page, and of folders that hand out whole files only.
 */

import { beforeEach, describe, expect, it, vi } from 'vitest';
import { createGivenFiles } from '../../../client/src/desk/givenFiles.ts';
import { createWholeFiles } from '../../../client/src/desk/wholeFiles.ts';

/** What the editor was asked to read, in order. */
const reads: string[] = [];

vi.mock('vscode', () => ({
  FileType: { File: 1 },
  Uri: { parse: (uri: string) => uri },
  workspace: {
    fs: {
      stat: async () => ({ type: 1, size: 3, mtime: 1 }),
      readFile: async (uri: string) => {
        reads.push(uri);
        return Uint8Array.of(1, 2, uri.length);
      },
    },
  },
}));

beforeEach(() => {
  reads.length = 0;
});

describe('files that are handed out whole', () => {
  const range = [{ start: 1, end: 3 }];

  it('are read once for all ranges, the last two of them', async () => {
    const files = createWholeFiles();
    expect(await files.open('vfs:/camera')).toEqual({ size: 3 });
    expect(await files.read('vfs:/camera', range)).toEqual([Uint8Array.of(2, 11)]);
    expect(await files.open('vfs:/deck')).toEqual({ size: 3 });
    expect(await files.read('vfs:/camera', range)).toEqual([Uint8Array.of(2, 11)]);
    expect(reads).toEqual(['vfs:/camera', 'vfs:/deck']);
  });

  it('keep the camera while one recording after the other is looked at', async () => {
    const files = createWholeFiles();
    for (const uri of ['vfs:/camera', 'vfs:/deck', 'vfs:/camera', 'vfs:/boom', 'vfs:/camera', 'vfs:/lav']) await files.open(uri);
    expect(reads).toEqual(['vfs:/camera', 'vfs:/deck', 'vfs:/boom', 'vfs:/lav']);
  });

  it('are read again where those of another desk took their place', async () => {
    const files = createWholeFiles();
    for (const uri of ['vfs:/camera', 'vfs:/deck', 'vfs:/other camera', 'vfs:/other deck']) await files.open(uri);
    expect(await files.read('vfs:/camera', range)).toEqual([Uint8Array.of(2, 11)]);
    expect(reads.at(-1)).toBe('vfs:/camera');
  });
});

describe('files that a person gave a page', () => {
  const file = { name: 'DECK 0020.wav', size: 3, read: async () => null };

  it('have addresses that end in their names, and no two are alike, in another window of the same desk neither', async () => {
    const before = createGivenFiles();
    const after = createGivenFiles();
    const addresses = [before.add(file), before.add(file), after.add(file)];
    expect(new Set(addresses).size).toBe(3);
    for (const address of addresses) expect(address).toMatch(/^afterclap-given:\/[^/]+\/DECK%200020\.wav$/);
    expect(await after.open(addresses[0] as string)).toMatchObject({
      size: null,
      refusal: expect.stringContaining('Choose it again'),
    });
  });
});
