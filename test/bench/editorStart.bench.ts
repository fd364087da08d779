/**
 * How long an editor waits for the server: from the start of its process until `initialize` is answered.
 *
 * The bundle as it is shipped, over standard input and output, against a Node that writes one byte from its first line; both are
 * ended at the first byte that comes back, and take turns. The figure is the difference of their mean processor times, in
 * milliseconds: what Node itself takes is nobody's here to shorten, and on a busy machine the clock on the wall tells of others.
 * The medians on the wall stand beside it, and are the figure where the system keeps no account of ended processes.
 */

import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
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
    const [server, bare]: [Start[], Start[]] = [[], []];
    for (let round = 0; round < WARM_UP + ROUNDS; round += 1) {
      const own = await startOnce([join(folder, 'server.cjs'), '--stdio'], INITIALIZE);
      const other = await startOnce(['-e', 'require("fs").writeSync(1, ".")'], '');
      if (round < WARM_UP) continue;
      server.push(own);
      bare.push(other);
    }
    const [wall, bareWall] = [server, bare].map((starts) => median(starts.map(({ milliseconds }) => milliseconds))) as [
      number,
      number,
    ];
    const [used, bareUsed] = [server, bare].map((starts) => mean(starts.map(({ processor }) => processor))) as [number, number];
    const onWall = `on the wall ${wall.toFixed(0)} ms, bare Node ${bareWall.toFixed(0)} ms`;
    if (Number.isNaN(used)) return { ratio: wall - bareWall, detail: `medians of ${ROUNDS} starts ${onWall}` };
    return {
      ratio: used - bareUsed,
      detail: `${ROUNDS} starts, processor time ${used.toFixed(0)} ms, bare Node ${bareUsed.toFixed(0)} ms; ${onWall}`,
    };
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

interface Start {
  readonly milliseconds: number;
  /** Milliseconds until it was ended; not a number where the system does not tell. */
  readonly processor: number;
}

/** Rejects when the process ends without a word. */
async function startOnce(parameters: readonly string[], input: string): Promise<Start> {
  const before = await processorOfEnded();
  const milliseconds = await toFirstByte(parameters, input);
  return { milliseconds, processor: (await processorOfEnded()) - before };
}

/** Resolves when the process has ended. */
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

/**
 * Milliseconds of processor time of all children that have ended: fields 16 and 17 of /proc/self/stat, in hundredths of a second
 * (proc(5)). They are rounded down, which evens out over the starts.
 */
async function processorOfEnded(): Promise<number> {
  const text = await readFile('/proc/self/stat', 'utf8').catch(() => '');
  // The second field is the name of the program in brackets and may hold blanks.
  const fields = text.slice(text.lastIndexOf(')') + 2).split(' ');
  return (Number(fields[13]) + Number(fields[14])) * 10;
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
