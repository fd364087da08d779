/**
 * A language client that shares no code with the server: its own reader and writer of the base protocol over the standard
 * streams of the bundled server. What passes here passes for any editor.
 *
 * Every message of the server is held against the protocol (model/wireCheck.ts), in every test that uses this client: a test that
 * stops or kills it fails for any breach.
 *
 * Source of the framing: Language Server Protocol 3.17, 'Base Protocol' (Content-Length header, CR LF, JSON-RPC 2.0).
 */

import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { createWireCheck } from './model/wireCheck.ts';
import { serverBundle } from './serverBundle.ts';

// biome-ignore lint/suspicious/noExplicitAny: the wire carries anything, and tests look into it
export type Wire = any;

export interface Message {
  readonly jsonrpc: string;
  readonly id?: number | string | null;
  readonly method?: string;
  readonly params?: Wire;
  readonly result?: Wire;
  readonly error?: { readonly code: number; readonly message: string; readonly data?: Wire };
}

const PATIENCE_MS = 20_000;

/** As an answer to a question of the server: none. */
export const SILENCE = Symbol('no answer');

export class WireClient {
  readonly received: Message[] = [];
  /** Answers to the server's own requests, by method; null where none is given. */
  readonly answers = new Map<string, (params: Wire) => unknown>();
  readonly exited: Promise<number | null>;
  readonly check = createWireCheck();
  private readonly server: ChildProcessWithoutNullStreams;
  private readonly waiting = new Set<{ isMet: (message: Message) => boolean; resolve: (message: Message) => void }>();
  private buffer = Buffer.alloc(0);
  private nextId = 1;
  standardError = '';

  private constructor(bundle: string, options: readonly string[]) {
    this.server = spawn(process.execPath, [bundle, ...options]);
    // A server that was stopped leaves answers to its last questions nowhere to go.
    this.server.stdin.on('error', () => undefined);
    this.server.stdout.on('data', (chunk: Buffer) => this.read(chunk));
    this.server.stderr.on('data', (chunk: Buffer) => {
      this.standardError += chunk.toString('utf8');
    });
    this.exited = new Promise((resolve) => this.server.on('exit', (code) => resolve(code)));
  }

  static async start(options: readonly string[] = ['--stdio']): Promise<WireClient> {
    return new WireClient(await serverBundle(), options);
  }

  /** Starts and initializes in one go. */
  static async ready(params: object): Promise<WireClient> {
    const client = await WireClient.start();
    await client.request('initialize', { processId: process.pid, rootUri: null, capabilities: {}, ...params });
    client.notify('initialized', {});
    return client;
  }

  send(message: object): void {
    this.check.sent(message);
    const body = Buffer.from(JSON.stringify({ jsonrpc: '2.0', ...message }), 'utf8');
    this.sendBytes(Buffer.concat([Buffer.from(`Content-Length: ${body.length}\r\n\r\n`, 'ascii'), body]));
  }

  /** Bytes as they are, for messages that are none. */
  sendBytes(bytes: Uint8Array | string): void {
    this.server.stdin.write(bytes);
  }

  notify(method: string, params: unknown): void {
    this.send({ method, params });
  }

  /** The whole answer, errors included. */
  request(method: string, params: unknown): Promise<Message> {
    return this.ask(method, params).answer;
  }

  /** The result, or a thrown error that says what the server said. */
  async result(method: string, params: unknown): Promise<Wire> {
    const { result, error } = await this.request(method, params);
    if (error !== undefined) throw new Error(`${method}: ${error.code} ${error.message}`);
    return result;
  }

  /** For requests that are cancelled before they are answered. */
  ask(method: string, params: unknown): { readonly id: number; readonly answer: Promise<Message> } {
    const id = this.nextId;
    this.nextId += 1;
    const answer = this.next((message) => message.id === id && message.method === undefined, `the answer to ${method}`);
    this.send({ id, method, params });
    return { id, answer };
  }

  /** The first message, from now on, that meets the condition. */
  next(isMet: (message: Message) => boolean, what: string): Promise<Message> {
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => {
        this.waiting.delete(entry);
        reject(new Error(`the server did not send ${what}; it wrote: ${this.standardError}`));
      }, PATIENCE_MS);
      const entry = {
        isMet,
        resolve: (message: Message) => {
          clearTimeout(timer);
          resolve(message);
        },
      };
      this.waiting.add(entry);
    });
  }

  nextNotification(method: string, isMet: (params: Wire) => boolean = () => true): Promise<Wire> {
    const isIt = (message: Message): boolean => message.method === method && isMet(message.params);
    return this.next(isIt, method).then(({ params }) => params);
  }

  /** Every message of a method so far. */
  all(method: string): readonly Message[] {
    return this.received.filter((message) => message.method === method);
  }

  open(uri: string, languageId: string, text: string, version = 1): void {
    this.notify('textDocument/didOpen', { textDocument: { uri, languageId, version, text } });
  }

  async stop(): Promise<number | null> {
    await this.request('shutdown', null);
    this.notify('exit', null);
    const code = await this.exited;
    this.complain();
    return code;
  }

  /** Closes our end of one of the server's outputs. */
  stopReading(stream: 'stdout' | 'stderr'): void {
    this.server[stream].destroy();
  }

  /** Closes the server's input, as an editor does that dies. */
  hangUp(): void {
    this.server.stdin.end();
  }

  kill(): void {
    this.server.kill('SIGKILL');
    this.complain();
  }

  private complain(): void {
    const { breaches } = this.check;
    if (breaches.length === 0) return;
    const told = [...new Set(breaches.splice(0))];
    throw new Error(`the server broke the protocol:\n${told.slice(0, 20).join('\n')}`);
  }

  private read(chunk: Buffer): void {
    this.buffer = Buffer.concat([this.buffer, chunk]);
    for (;;) {
      const headEnd = this.buffer.indexOf('\r\n\r\n');
      if (headEnd === -1) return;
      const head = this.buffer.subarray(0, headEnd).toString('latin1');
      const length = /^Content-Length: (\d+)(?:\r\nContent-Type: application\/vscode-jsonrpc; charset=utf-8)?$/.exec(head);
      if (length === null) throw new Error(`the server sent a message with the header ${JSON.stringify(head)}`);
      const bodyEnd = headEnd + 4 + Number(length[1]);
      if (this.buffer.length < bodyEnd) return;
      const message = JSON.parse(this.buffer.subarray(headEnd + 4, bodyEnd).toString('utf8')) as Message;
      this.buffer = this.buffer.subarray(bodyEnd);
      this.take(message);
    }
  }

  private take(message: Message): void {
    this.received.push(message);
    this.check.received(message);
    if (message.method !== undefined && message.id !== undefined) {
      const result = this.answers.get(message.method)?.(message.params) ?? null;
      if (result !== SILENCE) this.send({ id: message.id, result });
    }
    for (const entry of [...this.waiting]) {
      if (!entry.isMet(message)) continue;
      this.waiting.delete(entry);
      entry.resolve(message);
    }
  }
}
