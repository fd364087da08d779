/**
 * Our server in this process, spoken to in the bytes of the protocol.
 *
 * A question is timed from its first byte to the last byte of its answer, so a time holds all that the server does: reading
 * the question, working it out, writing the answer as JSON. The answer is not parsed while the clock runs, since that is the
 * editor's work. Pauses that wait for the next key press are left out: they are not work.
 *
 * Processor time is measured beside the time on the wall. On a machine at rest they are the same; on a busy one the wall also
 * shows how long somebody else was running.
 */

import { PassThrough } from 'node:stream';
import { createConnection, StreamMessageReader, StreamMessageWriter } from 'vscode-languageserver/node';
import type { Ports } from '../../server/src/lsp/ports.ts';
import { startServer } from '../../server/src/lsp/server.ts';
import type { FileSystem } from '../../server/src/project/fileSystem.ts';

export interface Answer {
  readonly milliseconds: number;
  /** Processor time of this process meanwhile, collecting garbage on other threads included; others' work is not in it. */
  readonly processorMilliseconds: number;
  /** Size of the answer, its header left out. */
  readonly bytes: number;
  readonly result: () => unknown;
}

export interface WireServer {
  /** Throws where the server answers with an error. Questions of the server are answered with null in between. */
  readonly ask: (method: string, params: unknown) => Promise<Answer>;
  readonly tell: (method: string, params: unknown) => void;
  /** Notifications of one method, counted. */
  readonly count: (method: string) => number;
}

export interface WireServerOptions {
  readonly files: FileSystem;
  readonly workspaceFolder: string | null;
  /** Only for what asks for sound. */
  readonly soundEngine?: Ports['soundEngine'];
  /** What `initialize` says beyond what every editor can do. */
  readonly capabilities: { readonly textDocument?: object; readonly workspace?: object; readonly window?: object };
}

const noSound: Ports['soundEngine'] = () => Promise.reject(new Error('no sound here'));

export async function startWireServer(options: WireServerOptions): Promise<WireServer> {
  const { files, workspaceFolder, capabilities, soundEngine = noSound } = options;
  const [up, down] = [new PassThrough(), new PassThrough()];
  startServer(
    createConnection(new StreamMessageReader(up), new StreamMessageWriter(down)),
    { timers: withoutPauses(), localFiles: files, soundEngine, documentationUri: 'file:///pages' },
    { name: 'afterclap', version: '0' },
  );
  const waiting = new Map<number, (body: Buffer) => void>();
  const counts = new Map<string, number>();
  const write = (message: object): void => {
    const body = Buffer.from(JSON.stringify({ jsonrpc: '2.0', ...message }));
    up.write(`Content-Length: ${body.length}\r\n\r\n`);
    up.write(body);
  };
  readBodies(down, (body) => {
    // Only its ends are looked at: a long answer is not read while somebody waits with a clock.
    const id = idOfAnswer(body);
    if (id !== null) {
      waiting.get(id)?.(body);
      waiting.delete(id);
      return;
    }
    const message = JSON.parse(body.toString()) as { readonly id?: number | string; readonly method: string };
    counts.set(message.method, (counts.get(message.method) ?? 0) + 1);
    if (message.id !== undefined) write({ id: message.id, result: null });
  });
  let lastId = 0;
  const ask: WireServer['ask'] = async (method, params) => {
    lastId += 1;
    const id = lastId;
    const usedBefore = process.cpuUsage();
    const startedAt = performance.now();
    const body = await new Promise<Buffer>((resolve) => {
      waiting.set(id, resolve);
      write({ id, method, params });
    });
    const milliseconds = performance.now() - startedAt;
    const { user, system } = process.cpuUsage(usedBefore);
    if (body.subarray(0, 80).includes('"error"')) throw new Error(`${method}: ${body.toString().slice(0, 500)}`);
    return {
      milliseconds,
      processorMilliseconds: (user + system) / 1000,
      bytes: body.length,
      result: () => (JSON.parse(body.toString()) as { readonly result: unknown }).result,
    };
  };
  const workspaceFolders = workspaceFolder === null ? null : [{ uri: workspaceFolder, name: 'work' }];
  await ask('initialize', { processId: null, rootUri: workspaceFolder, workspaceFolders, capabilities });
  const tell: WireServer['tell'] = (method, params) => write({ method, params });
  tell('initialized', {});
  return { ask, tell, count: (method) => counts.get(method) ?? 0 };
}

function withoutPauses() {
  return {
    now: () => performance.now(),
    after: (_: number, callback: () => void) => {
      const timer = setImmediate(callback);
      return () => clearImmediate(timer);
    },
    yieldNow: () => new Promise<void>((resolve) => setImmediate(resolve)),
  };
}

/** The library writes {"jsonrpc":"2.0","id":7,"result":...}; null for what is no answer. */
function idOfAnswer(body: Buffer): number | null {
  const found = /^\{"jsonrpc":"2\.0","id":(\d+),"(?:result|error)"/.exec(body.subarray(0, 80).toString('latin1'));
  return found === null ? null : Number(found[1]);
}

function readBodies(stream: PassThrough, onBody: (body: Buffer) => void): void {
  let parts: Buffer[] = [];
  let held = 0;
  let wanted: number | null = null;
  stream.on('data', (chunk: Buffer) => {
    parts.push(chunk);
    held += chunk.length;
    for (;;) {
      if (wanted === null) {
        const all = Buffer.concat(parts);
        const end = all.indexOf('\r\n\r\n');
        if (end === -1) return;
        wanted = Number(/Content-Length: (\d+)/i.exec(all.subarray(0, end).toString('latin1'))?.[1]);
        parts = [all.subarray(end + 4)];
        held = all.length - end - 4;
      }
      if (held < wanted) return;
      const all = Buffer.concat(parts);
      const body = all.subarray(0, wanted);
      parts = [all.subarray(wanted)];
      held = all.length - wanted;
      wanted = null;
      onBody(body);
    }
  });
}
