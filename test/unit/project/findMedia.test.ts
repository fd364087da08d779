/**
 * Where the file of a report entry is looked for, and where it is not, whatever the report says.
 */

import { describe, expect, it } from 'vitest';
import { chosenMedia, findMedia } from '../../../server/src/project/desk/findMedia.ts';
import { type FileSystem, noFileSystem } from '../../../server/src/project/fileSystem.ts';

/** Every folder that is asked for holds one recording; which were asked for is taken down. */
function everywhere(): { readonly files: FileSystem; readonly listed: string[] } {
  const listed: string[] = [];
  const list: FileSystem['list'] = async (folder) => {
    listed.push(folder);
    return { ok: true, entries: [{ name: 'DECK_0020.wav', isFolder: false }] };
  };
  return { files: { ...noFileSystem, list }, listed };
}

const wantedAt = (name: string) => ({ role: 'sound', key: 'deck-20', names: [name] }) as const;

describe('the file of a report entry', () => {
  it.each([
    ['file:///shoot/day1.alignment.json', 'file:///Volumes/CARD/DECK_0020.wav', 'file:///Volumes/CARD'],
    ['file:///shoot/day1.alignment.json', '/Volumes/CARD/DECK_0020.wav', 'file:///Volumes/CARD'],
    ['vscode-vfs://host/shoot/day1.alignment.json', 'vscode-vfs://host/card/DECK_0020.wav', 'vscode-vfs://host/card'],
    ['vscode-vfs://host/shoot/day1.alignment.json', 'file:///Volumes/CARD/DECK_0020.wav', 'file:///Volumes/CARD'],
    ['/shoot/day1.alignment.json', 'card/DECK_0020.wav', '/shoot/card'],
  ])('of %s is looked for where it says: %s', async (report, name, folder) => {
    const { files, listed } = everywhere();
    expect((await findMedia(files, report, wantedAt(name))).path).toBe(`${folder}/DECK_0020.wav`);
    expect(listed).toEqual([folder]);
  });

  it.each([
    'vscode-vfs://elsewhere/card/DECK_0020.wav',
    'https://example.com/DECK_0020.wav',
    'ftp://example.com/a/DECK_0020.wav',
  ])('is looked for beside a report on a disk, and never at %s', async (name) => {
    const { files, listed } = everywhere();
    const found = await findMedia(files, 'file:///shoot/day1.alignment.json', wantedAt(name));
    expect(found.path).toBe('file:///shoot/DECK_0020.wav');
    expect(listed).toEqual(['file:///shoot']);
  });
});

describe('a file that a person chose', () => {
  it.each(['file:///card/DECK_0020.wav', 'file:///card/deck_0020.BWF', 'file:///card/deck-20.wav'])(
    '%s is the one that was meant',
    (path) => {
      expect(chosenMedia(path, wantedAt('sound/DECK_0020.wav'))).toEqual({ path, words: '' });
    },
  );

  it('is taken under another name, and that is said', () => {
    expect(chosenMedia('file:///card/DECK_0021.wav', wantedAt('DECK_0020.wav'))).toEqual({
      path: 'file:///card/DECK_0021.wav',
      words: 'DECK_0021.wav was chosen for what the report calls DECK_0020.wav: make sure that it is the same.',
    });
  });
});
