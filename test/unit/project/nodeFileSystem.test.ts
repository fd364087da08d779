import { chmodSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { createNodeFileSystem } from '../../../server/src/node/fileSystem.ts';
import { findProject } from '../../../server/src/project/findProject.ts';

const folder = mkdtempSync(join(tmpdir(), 'afterclap-'));
const files = createNodeFileSystem();
const at = (name: string): string => join(folder, name);

writeFileSync(at('plain.edl'), 'TITLE: RÉEL\n');
writeFileSync(at('old.edl'), Buffer.from('TITLE: R\xc9EL\n', 'latin1'));
writeFileSync(at('sound.wav'), Buffer.from('RIFF\0\0\0\0WAVE', 'latin1'));
writeFileSync(at('empty.otio'), '');
mkdirSync(at('folder.otio'));
symlinkSync(at('folder.otio'), at('link'));
symlinkSync(at('circle'), at('circle'));
// A sparse file: large without taking the room.
writeFileSync(at('large.otio'), '');
truncateSync(at('large.otio'), 513 * 1024 * 1024);

afterAll(() => rmSync(folder, { recursive: true }));

async function reasonFor(path: string): Promise<string> {
  const answer = await files.readText(path);
  return answer.ok ? `text: ${answer.text}` : answer.reason;
}

describe('files on disk', () => {
  it('are read as text, in the encoding they have', async () => {
    expect(await files.readText(at('plain.edl'))).toEqual({ ok: true, text: 'TITLE: RÉEL\n', encoding: 'utf-8' });
    expect(await files.readText(at('old.edl'))).toEqual({ ok: true, text: 'TITLE: RÉEL\n', encoding: 'windows-1252' });
    expect(await files.readText(pathToFileURL(at('plain.edl')).href)).toMatchObject({ ok: true });
    expect(await reasonFor(at('empty.otio'))).toBe('text: ');
  });

  it('that can not be read say why', async () => {
    expect(await files.readText(at('gone.otio'))).toEqual({ ok: false, reason: 'is not there', isMissing: true });
    expect(await files.readText(at('plain.edl/afterclap.json'))).toMatchObject({ isMissing: true });
    expect(await files.readText(at('folder.otio'))).toEqual({ ok: false, reason: 'is a folder, not a file', isMissing: false });
    expect(await reasonFor(at('large.otio'))).toBe('has 513 MB; files of more than 512 MB are not read');
    expect(await reasonFor(at('sound.wav'))).toBe('holds no text, but binary data');
    expect(await reasonFor(at('circle'))).toBe("can't be read: its links lead in a circle");
    expect(await reasonFor('untitled:Untitled-1')).toBe('is not a file of this machine');
    expect(await reasonFor('a\0b')).toMatch(/^can't be read \(/);
  });

  it('of others say that permission is missing', async () => {
    writeFileSync(at('closed.otio'), '{}');
    chmodSync(at('closed.otio'), 0);
    const isRoot = process.getuid?.() === 0;
    if (isRoot) console.log('running as root: permissions do not hold, the file is readable');
    expect(await reasonFor(at('closed.otio'))).toBe(isRoot ? 'text: {}' : "can't be read: permission denied");
  });

  it('are listed, links to folders as folders', async () => {
    const listing = await files.list(folder);
    const kinds = new Map(listing.ok ? listing.entries.map(({ name, isFolder }) => [name, isFolder]) : []);
    expect([kinds.get('plain.edl'), kinds.get('folder.otio'), kinds.get('link'), kinds.get('circle')]).toEqual([
      false,
      true,
      true,
      false,
    ]);
    expect(await files.list(at('gone'))).toEqual({ ok: false, reason: 'is not there', isMissing: true });
  });

  it('exist or do not', async () => {
    expect(await files.exists(at('plain.edl'))).toBe(true);
    expect(await files.exists(at('gone.edl'))).toBe(false);
    expect(await files.exists('memory://host/a')).toBe(false);
  });

  it('make a project, from a path that is not absolute too', async () => {
    mkdirSync(at('shoot'));
    writeFileSync(at('shoot/afterclap.json'), '{ "alignment": ["day1.alignment.json"], "grid": "1f" }');
    writeFileSync(at('shoot/day1.alignment.json'), '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }');
    const project = await findProject(files, at('shoot/../shoot/reel1.otio'));
    expect(project.reason).toBe('day1.alignment.json is used: named in afterclap.json.');
    expect(project.settings.grid).toBe('1f');
    expect(files.absolute('reel1.otio')).toBe(join(process.cwd(), 'reel1.otio'));
  });
});
