/**
 * The folder that pages have open: the samples, and two days whose reports differ by one frame of sound.
 */

import { cp, mkdir, mkdtemp, readFile, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const samples = join(import.meta.dirname, '..', '..', '..', 'samples');

/** As the samples have it, and one frame of sound (2002 samples at 24000/1001) later in the file. */
const FIRST_CLAP = { one: '"frame": 132, "sample": 440286 }', two: '"frame": 132, "sample": 442288 }' };

/** The folder is the caller's to remove. */
export async function makeWebWorkspace(): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-web-workspace-'));
  await cp(samples, join(folder, 'millrace'), { recursive: true });
  const report = await readFile(join(samples, 'millrace.alignment.json'), 'utf8');
  for (const [day, clap] of Object.entries(FIRST_CLAP)) {
    const place = join(folder, 'days', day);
    await mkdir(place, { recursive: true });
    await cp(join(samples, 'millrace.edl'), join(place, 'cut.edl'));
    await writeFile(join(place, `${day}.alignment.json`), report.replace(FIRST_CLAP.one, clap));
    await writeFile(join(place, 'afterclap.json'), '{ "edlRate": "24000/1001" }\n');
  }
  return folder;
}
