/**
 * Kate on a screen that nobody sees, driven by keys as a person would. It has no scripts that reach its language client, so what it does
 * is read off the messages that pass between it and the server (recordedServer.mjs), the titles of its windows, and the files it saves.
 */

import { execFile, spawn } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { serverBundle } from '../protocol/serverBundle.ts';
import { makeWorkspace, type Workspace } from '../protocol/workspace.ts';
import { blockOfPage, setUpFor } from './editorRun.ts';

// biome-ignore lint/suspicious/noExplicitAny: the wire carries anything, and tests look into it
type Any = any;

/** A message as it passed; at the very first the process of the server. */
export interface Passed {
  readonly sender: 'editor' | 'server';
  readonly message?: Any;
  readonly processId?: number;
}

export interface Kate {
  readonly workspace: Workspace;
  readonly keys: (...keys: readonly string[]) => Promise<void>;
  readonly type: (text: string) => Promise<void>;
  /** Presses keys in a window of its own, once that is there. */
  readonly dialog: (title: string, ...keys: readonly string[]) => Promise<void>;
  /** Every message so far. */
  readonly passed: () => Promise<readonly Passed[]>;
  /** The answer to the editor's latest question of a method, once it has come. */
  readonly answerTo: (method: string, count?: number) => Promise<{ readonly params: Any; readonly result: Any }>;
  /** The editor's own message number `count` of a method, counted from 1. */
  readonly told: (method: string, count?: number) => Promise<Any>;
  /** The texts it sent after changes, which it sends whole. */
  readonly texts: () => Promise<readonly string[]>;
  readonly titled: (title: string) => Promise<void>;
  /** Resolves when the server's process is gone. */
  readonly ended: () => Promise<true>;
  readonly leave: () => Promise<void>;
}

const STEP_PATIENCE_MS = 40_000;

/** Opens a file of the fixtures with the cursor at a line and column, counted from 1. */
export async function startKate(name: string, line: number, column: number): Promise<Kate> {
  const workspace = await makeWorkspace();
  const home = await mkdtemp(join(tmpdir(), 'afterclap-home-'));
  const folder = async (...path: readonly string[]): Promise<string> => {
    const made = join(home, ...path);
    await mkdir(made, { recursive: true, mode: 0o700 });
    return made;
  };
  const recorded = join(import.meta.dirname, 'recordedServer.mjs');
  await writeFile(join(await folder('config', 'kate', 'lspclient'), 'settings.json'), await setUpFor('Kate', 'json', recorded));
  const syntax = await folder('data', 'org.kde.syntax-highlighting', 'syntax');
  await writeFile(join(syntax, 'afterclap.xml'), await blockOfPage('Kate', 'xml'));
  const record = await folder('record');
  const screen = spawn('Xvfb', ['-displayfd', '3', '-screen', '0', '1200x1000x24'], {
    stdio: ['ignore', 'ignore', 'ignore', 'pipe'],
  });
  const display = await new Promise<string>((resolve, reject) => {
    screen.on('error', reject);
    screen.stdio[3]?.on('data', (bytes: Buffer) => resolve(`:${bytes.toString('utf8').trim()}`));
  });
  const env: NodeJS.ProcessEnv = {
    ...process.env,
    HOME: home,
    XDG_CONFIG_HOME: await folder('config'),
    XDG_DATA_HOME: await folder('data'),
    XDG_STATE_HOME: await folder('state'),
    XDG_CACHE_HOME: await folder('cache'),
    XDG_RUNTIME_DIR: await folder('runtime'),
    LC_ALL: 'C.UTF-8',
    DISPLAY: display,
    QT_QPA_PLATFORM: 'xcb',
    DBUS_SESSION_BUS_ADDRESS: 'disabled:',
    AFTERCLAP_SERVER: await serverBundle(),
    AFTERCLAP_RECORD: record,
  };
  const editor = spawn('kate', ['-n', '--startanon', '-l', String(line), '-c', String(column), name], {
    cwd: workspace.folder,
    env,
    stdio: 'ignore',
  });
  const xdotool = (...args: readonly string[]): Promise<string> =>
    promisify(execFile)('xdotool', args, { env }).then(
      ({ stdout }) => stdout.trim(),
      // It fails where no window is found.
      () => '',
    );
  const windowTitled = (title: string): Promise<string> =>
    until(`a window '${title}'`, async () => (await xdotool('search', '--onlyvisible', '--name', title)).split('\n')[0] || null);
  const passed = async (): Promise<readonly Passed[]> => {
    const text = await readFile(join(record, 'messages'), 'utf8').catch(() => '');
    // The last line may be half written.
    return text
      .split('\n')
      .slice(0, -1)
      .map((each) => JSON.parse(each) as Passed);
  };
  const told = (method: string, count = 1): Promise<Any> =>
    until(`${method} of the editor`, async () => {
      const sent = (await passed()).filter(({ sender, message }) => sender === 'editor' && message?.method === method);
      return sent[count - 1]?.message ?? null;
    });
  const dialog = async (title: string, ...keys: readonly string[]): Promise<void> => {
    await xdotool('windowfocus', '--sync', await windowTitled(title));
    await xdotool('key', '--delay', '100', ...keys);
  };
  const leave = async (): Promise<void> => {
    // Asked to end, it would ask in turn what to do with texts that were not saved; and it writes into its home until it is gone.
    const gone = new Promise((resolve) => editor.once('exit', resolve));
    if (editor.kill('SIGKILL')) await gone;
    screen.kill();
    await rm(home, { recursive: true, force: true, maxRetries: 5 });
    await workspace.discard();
  };
  try {
    // Kate asks whether the command may be started; the answer 'Yes' has the focus.
    await dialog('LSP server start requested', 'Return');
    await told('textDocument/didOpen');
    await xdotool('windowfocus', '--sync', await windowTitled(name));
  } catch (error) {
    await leave();
    throw error;
  }
  return {
    workspace,
    passed,
    told,
    keys: async (...keys) => void (await xdotool('key', '--delay', '100', ...keys)),
    type: async (text) => void (await xdotool('type', '--delay', '50', text)),
    dialog,
    answerTo: async (method, count = 1) => {
      const { id, params } = await told(method, count);
      return until(`the answer to ${method}`, async () => {
        const answer = (await passed()).find(
          ({ sender, message }) => sender === 'server' && message?.id === id && !message.method,
        );
        return answer === undefined ? null : { params, result: answer.message.result };
      });
    },
    texts: async () =>
      (await passed()).flatMap(({ message }) =>
        message?.method === 'textDocument/didChange' ? [message.params.contentChanges.at(-1).text as string] : [],
      ),
    titled: async (title) => void (await windowTitled(title)),
    ended: async () => {
      const processId = (await passed()).find((each) => each.processId !== undefined)?.processId;
      if (processId === undefined) throw new Error('no server was started');
      return until('the end of the server', async () => (isRunning(processId) ? null : true));
    },
    leave,
  };
}

function isRunning(processId: number): boolean {
  try {
    return process.kill(processId, 0);
  } catch {
    return false;
  }
}

/** Asks again until there is something. */
export async function until<Found>(what: string, find: () => Promise<Found | null>): Promise<Found> {
  const end = Date.now() + STEP_PATIENCE_MS;
  while (Date.now() < end) {
    const found = await find();
    if (found !== null) return found;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error(`waited in vain for ${what}`);
}
