/**
 * The server as a worker in a real browser: it starts without Node, reads its report through the client, and finds the same.
 */

import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { chromium } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { chromiumPath } from './editorHost.ts';

const root = join(import.meta.dirname, '..', '..');
const browserPath = chromiumPath();
if (browserPath === null) console.log('test/editor/worker skipped: no Chromium');

describe.skipIf(browserPath === null)('in a worker of a browser', () => {
  it('the server finds the lead and the lag of a virtual workspace', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'afterclap-worker-'));
    await promisify(execFile)(process.execPath, [join(root, '.build', 'build.mjs'), 'browser/server', `--out=${folder}`]);
    const source = await readFile(join(folder, 'browser', 'server.js'), 'utf8');
    const fixture = (name: string): Promise<string> => readFile(join(root, 'test', 'fixtures', 'editor', name), 'utf8');
    const files = {
      'virtual://shoot/cut/interview.otio': await fixture('interview.otio'),
      'virtual://shoot/cut/day1.alignment.json': await fixture('day1.alignment.json'),
    };
    const browser = await chromium.launch({ executablePath: browserPath as string, args: ['--no-sandbox', '--disable-gpu'] });
    try {
      const page = await browser.newPage();
      const codes = await page.evaluate(findInWorker, { source, files, uri: 'virtual://shoot/cut/interview.otio' });
      expect(codes).toEqual(['sound-leads', 'sound-lags']);
    } finally {
      await browser.close();
      await rm(folder, { recursive: true, force: true });
    }
  }, 60_000);
});

interface WorkerInput {
  readonly source: string;
  readonly files: Readonly<Record<string, string>>;
  readonly uri: string;
}

interface WorkerMessage {
  readonly id?: number;
  readonly method?: string;
  readonly params?: { readonly uri: string };
  readonly result?: { readonly items: readonly { readonly code: string }[] };
}

/** The browser's own, of which only the page knows. */
declare class Worker {
  onerror: (event: { readonly message: string }) => void;
  onmessage: (event: { readonly data: WorkerMessage }) => void;
  constructor(address: string);
  postMessage(message: object): void;
}

/** Runs in the page: a client of a dozen lines that serves files from memory. */
function findInWorker({ source, files, uri }: WorkerInput): Promise<readonly string[]> {
  const worker = new Worker(URL.createObjectURL(new Blob([source], { type: 'text/javascript' })));
  const send = (message: object): void => worker.postMessage({ jsonrpc: '2.0', ...message });
  const answerTo = (method: string | undefined, asked: string): object => {
    if (method === 'afterclap/readFile') return { text: files[asked] ?? null };
    const names = Object.keys(files)
      .filter((name) => name.slice(0, name.lastIndexOf('/')) === asked.replace(/\/$/, ''))
      .map((name) => name.slice(name.lastIndexOf('/') + 1));
    return { files: names.length === 0 ? null : names };
  };
  return new Promise((resolve, reject) => {
    worker.onerror = ({ message }) => reject(new Error(message));
    worker.onmessage = ({ data }) => {
      const { id, method, params, result } = data;
      if (method !== undefined && id !== undefined) send({ id, result: answerTo(method, params?.uri ?? '') });
      else if (id === 1) {
        send({ method: 'initialized', params: {} });
        const textDocument = { uri, languageId: 'otio', version: 1, text: files[uri] };
        send({ method: 'textDocument/didOpen', params: { textDocument } });
        send({ id: 2, method: 'textDocument/diagnostic', params: { textDocument: { uri } } });
      } else if (id === 2) resolve((result?.items ?? []).map(({ code }) => code));
    };
    const capabilities = { textDocument: { diagnostic: {} } };
    send({
      id: 1,
      method: 'initialize',
      params: { processId: null, rootUri: null, capabilities, initializationOptions: { readsFiles: true } },
    });
  });
}
