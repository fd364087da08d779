/**
 * How long an editor waits for the server: from the start of its process until `initialize` is answered.
 *
 * The bundle as it is shipped, over standard input and output, against a Node that writes one byte from its first line: both
 * from `spawn` to the first byte that comes back, in turns, so that a busy machine is busy for both. The figure is the
 * difference of the medians, in milliseconds, since what Node itself takes is nobody's here to shorten.
 */

import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { type Bench, type BenchResult, median } from './benchmark.ts';

/** Benches run from dist/bench. */
const ROOT = join(import.meta.dirname, '..', '..');
const ROUNDS = 25;
/** The first starts read the files from the disk. */
const WARM_UP = 3;

export const benches: readonly Bench[] = [
  { name: 'server process to the answer of initialize, beyond what bare Node takes', limit: 150, unit: 'ms', run: start },
];

async function start(): Promise<BenchResult> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-bench-'));
  try {
    await promisify(execFile)(process.execPath, [join(ROOT, '.build', 'build.mjs'), 'server', `--out=${folder}`]);
    const times = { server: [] as number[], bare: [] as number[] };
    for (let round = 0; round < WARM_UP + ROUNDS; round += 1) {
      const server = await toFirstByte([join(folder, 'server.cjs'), '--stdio'], INITIALIZE);
      const bare = await toFirstByte(['-e', 'require("fs").writeSync(1, ".")'], '');
      if (round < WARM_UP) continue;
      times.server.push(server);
      times.bare.push(bare);
    }
    const [server, bare] = [median(times.server), median(times.bare)];
    return { ratio: server - bare, detail: `medians of ${ROUNDS}: ${server.toFixed(0)} ms, bare Node ${bare.toFixed(0)} ms` };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

const INITIALIZE = framed({
  jsonrpc: '2.0',
  id: 1,
  method: 'initialize',
  params: {
    processId: process.pid,
    rootUri: null,
    workspaceFolders: [{ uri: 'file:///cut', name: 'cut' }],
    capabilities: {
      textDocument: {
        diagnostic: {},
        hover: { contentFormat: ['markdown'] },
        documentSymbol: { hierarchicalDocumentSymbolSupport: true },
      },
      workspace: { configuration: true, workspaceFolders: true, didChangeWatchedFiles: { dynamicRegistration: true } },
    },
  },
});

function framed(message: object): string {
  const body = JSON.stringify(message);
  return `Content-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`;
}

/** Milliseconds. Rejects when the process ends without a word. */
function toFirstByte(parameters: readonly string[], input: string): Promise<number> {
  return new Promise((resolve, reject) => {
    const startedAt = performance.now();
    const child: ChildProcess = spawn(process.execPath, parameters, { stdio: ['pipe', 'pipe', 'inherit'] });
    let time: number | null = null;
    child.stdout?.once('data', () => {
      time = performance.now() - startedAt;
      child.kill();
    });
    child.on('error', reject);
    child.on('close', () => (time === null ? reject(new Error(`${parameters[0]} answered nothing`)) : resolve(time)));
    child.stdin?.on('error', () => undefined);
    child.stdin?.write(input);
  });
}
