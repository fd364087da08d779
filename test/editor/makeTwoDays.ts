/**
 * Two days of a shoot whose recorders began to count anew: folders with a cut of one name, and a report and settings of their own.
 *
 * In the report of day two the sound of the first clap lies one frame later in its file, so that what leads by a frame on day one is
 * exact on day two; and on day two sound may lag by two frames. Of each day the editor shows other hints. suite/rootChecks.ts knows
 * what comes of it.
 */

import { cp, mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';

const samples = join(import.meta.dirname, '..', '..', 'samples');

/** 2002 samples are one frame: 48000 * 1001 / 24000. */
const FIRST_CLAP = { one: '"frame": 132, "sample": 440286 }', two: '"frame": 132, "sample": 442288 }' };
const ALLOWED_LAG = { one: '1f', two: '2f' };
const HINTS = { one: 'all', two: 'off' };
const DAYS = ['one', 'two'] as const;

/** Makes them in `folder`; the path of the workspace file that has both. */
export async function makeTwoDays(folder: string): Promise<string> {
  const report = await readFile(join(samples, 'millrace.alignment.json'), 'utf8');
  for (const day of DAYS) {
    const place = join(folder, day);
    await mkdir(join(place, '.vscode'), { recursive: true });
    await cp(join(samples, 'millrace.edl'), join(place, 'cut.edl'));
    await writeFile(join(place, 'day.alignment.json'), report.replace(FIRST_CLAP.one, FIRST_CLAP[day]));
    const settings = { edlRate: '24000/1001', tolerance: { lead: '1ms', lag: ALLOWED_LAG[day] } };
    await writeFile(join(place, 'afterclap.json'), `${JSON.stringify(settings)}\n`);
    await writeFile(join(place, '.vscode', 'settings.json'), JSON.stringify({ 'afterclap.inlayHints': HINTS[day] }));
  }
  const file = join(folder, 'shoot.code-workspace');
  await writeFile(file, JSON.stringify({ folders: DAYS.map((path) => ({ path })) }));
  return file;
}
