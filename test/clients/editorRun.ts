/**
 * Other people's editors, run on a small workspace with the set-ups that our page for them prints.
 *
 * The code blocks are read from the page, so a page that no longer works fails here. Editors get a home folder of their own: the
 * set-up of whoever runs the tests neither helps nor suffers.
 */

import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { serverBundle } from '../protocol/serverBundle.ts';
import { makeWorkspace } from '../protocol/workspace.ts';

const PAGE = join(import.meta.dirname, '..', '..', 'server', 'docs', 'other-editors.md');
const SERVER_ON_THE_PAGE = '/path/to/dist/server.cjs';
export const PATIENCE_MS = 50_000;

/** A finding as the editor holds it: the characters it underlines, by its own columns. */
export interface SeenDiagnostic {
  readonly code?: string;
  readonly source?: string;
  readonly text: string;
  readonly message: string;
}

/** What a script of ours saw in an editor. */
export interface Seen {
  /** Why the script could not go on. */
  readonly problem?: string;
  readonly 'interview.otio': readonly SeenDiagnostic[];
  readonly 'interview.edl': readonly SeenDiagnostic[];
  readonly 'interview.timeline.xml': readonly SeenDiagnostic[];
  readonly hover: string;
  readonly menu: readonly string[];
  readonly fixed: string;
  readonly codes_when_fixed: readonly string[];
  readonly codes_by_new_report: readonly string[];
  readonly wide: readonly SeenDiagnostic[];
  readonly wide_fixed: string;
  readonly definition: string;
  readonly references: number;
  readonly outline: readonly string[];
  readonly renamed: readonly string[];
  readonly servers: number;
  readonly exit_code: number;
}

/** The name of the workspace's file that is one line, with characters outside ASCII before every finding. */
const WIDE_FILE = 'wide.otio';

/** The text of the wide file: two UTF-16 units and four bytes for the clapper, one unit and two bytes for the letter. */
export async function wideText(): Promise<string> {
  const text = await readFile(join(import.meta.dirname, '..', 'fixtures', 'editor', 'interview.otio'), 'utf8');
  return JSON.stringify(JSON.parse(text.replace('Workshop interview', '\u{1F3AC} Werkst\u00e4tte')));
}

/** First line of what a program prints; null, with `otherwise` as the reason on the console, where it can't be run. */
export async function firstLineOf(program: string, args: readonly string[], otherwise: string): Promise<string | null> {
  try {
    const { stdout } = await promisify(execFile)(program, args);
    return stdout.split('\n')[0] ?? '';
  } catch {
    console.log(`skipped: ${otherwise}`);
    return null;
  }
}

/** The first block of a language under a heading of the page. */
export async function blockOfPage(heading: string, language: string): Promise<string> {
  const page = await readFile(PAGE, 'utf8');
  const section = page.split(/^## /m).find((part) => part.startsWith(`${heading}\n`));
  const block = section?.split(`\n\`\`\`${language}\n`)[1]?.split('\n```')[0];
  if (block === undefined) throw new Error(`the page has no set-up for ${heading} in ${language}`);
  return block;
}

/** The same with `server` as the place of the server. */
export async function setUpFor(heading: string, language: string, server: string): Promise<string> {
  const block = await blockOfPage(heading, language);
  if (!block.includes(SERVER_ON_THE_PAGE)) throw new Error(`the set-up for ${heading} starts no server`);
  return block.replaceAll(SERVER_ON_THE_PAGE, server.replaceAll('\\', '/'));
}

export interface EditorCommand {
  readonly heading: string;
  readonly language: string;
  readonly program: string;
  /** Arguments that have the editor read the set-up and then run the script. */
  readonly args: (setUpFile: string) => readonly string[];
}

/** Runs the script of an editor to its end in a workspace of its own. */
export async function runEditor({ heading, language, program, args }: EditorCommand): Promise<Seen> {
  const workspace = await makeWorkspace();
  const home = await mkdtemp(join(tmpdir(), 'afterclap-home-'));
  try {
    await workspace.write(WIDE_FILE, await wideText());
    const setUp = join(home, `setUp.${language}`);
    const seen = join(home, 'seen.json');
    await writeFile(setUp, `${await setUpFor(heading, language, await serverBundle())}\n`);
    const folders = { XDG_CONFIG_HOME: 'config', XDG_DATA_HOME: 'data', XDG_STATE_HOME: 'state', XDG_CACHE_HOME: 'cache' };
    const env: NodeJS.ProcessEnv = { ...process.env, HOME: home, LC_ALL: 'C.UTF-8', AFTERCLAP_SEEN: seen };
    for (const [name, folder] of Object.entries(folders)) {
      env[name] = join(home, folder);
      await mkdir(join(home, folder));
    }
    const run = promisify(execFile)(program, args(setUp), { cwd: workspace.folder, env, timeout: PATIENCE_MS });
    // An editor that waits for a key would wait for ever.
    run.child.stdin?.end();
    const { stdout, stderr } = await run;
    const text = await readFile(seen, 'utf8').catch(() => null);
    if (text === null) throw new Error(`${program} left without a word; it printed:\n${stdout}${stderr}`);
    return JSON.parse(text) as Seen;
  } finally {
    await rm(home, { recursive: true, force: true });
    await workspace.discard();
  }
}
