/**
 * The folder that pages have open: the samples; two days of a shoot; an edit list in UTF-16; and a report that holds no text.
 */

import { cp, mkdir, mkdtemp, readFile, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeTwoDays } from '../makeTwoDays.ts';

const samples = join(import.meta.dirname, '..', '..', '..', 'samples');

/** The folder is the caller's to remove. */
export async function makeWebWorkspace(): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-web-workspace-'));
  await cp(samples, join(folder, 'millrace'), { recursive: true });
  await makeTwoDays(join(folder, 'days'));
  const utf16 = join(folder, 'utf-16');
  await mkdir(utf16);
  await writeFile(join(utf16, 'cut.edl'), `\ufeff${await readFile(join(samples, 'millrace.edl'), 'utf8')}`, 'utf16le');
  await cp(join(samples, 'millrace.alignment.json'), join(utf16, 'cut.alignment.json'));
  await writeFile(join(utf16, 'afterclap.json'), '{ "edlRate": "24000/1001" }\n');
  const broken = join(folder, 'broken');
  await mkdir(broken);
  await cp(join(samples, 'millrace.edl'), join(broken, 'cut.edl'));
  await writeFile(join(broken, 'cut.alignment.json'), new Uint8Array(64));
  return folder;
}
