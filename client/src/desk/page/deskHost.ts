/**
 * The editor as the page sees it: questions with their answers, messages, and a place to keep what must outlive the page.
 *
 * Where the editor reaches no disk, it asks back for bytes of files that the page was given.
 */

import type { AskKind, Asks, FromPage, PageMemory, ToPage } from '../deskMessages.ts';
import type { GivenFiles } from './givenFiles.ts';

interface EditorApi {
  readonly postMessage: (message: FromPage) => void;
  readonly getState: () => PageMemory | undefined;
  readonly setState: (memory: PageMemory) => void;
}

declare function acquireVsCodeApi(): EditorApi;

export interface Asking<Kind extends AskKind> {
  readonly answer: Promise<Asks[Kind]['answer']>;
  /** The answer is not wanted any more. */
  readonly stop: () => void;
}

export interface DeskHost {
  readonly send: (message: FromPage) => void;
  readonly ask: <Kind extends AskKind>(about: Kind, ask: Asks[Kind]['ask'], onProgress?: (share: number) => void) => Asking<Kind>;
  readonly memory: () => PageMemory | null;
  readonly remember: (memory: PageMemory) => void;
  /** Messages that answer no question. */
  readonly onMessage: (callback: (message: Extract<ToPage, { kind: 'desk' | 'notice' }>) => void) => void;
}

interface Waiting {
  readonly resolve: (value: unknown) => void;
  readonly onProgress: ((share: number) => void) | undefined;
}

export function createDeskHost(given: GivenFiles): DeskHost {
  const api = acquireVsCodeApi();
  const waiting = new Map<number, Waiting>();
  let lastId = 0;
  let callback: ((message: Extract<ToPage, { kind: 'desk' | 'notice' }>) => void) | null = null;
  addEventListener('message', ({ data }: MessageEvent<ToPage>) => {
    if (data.kind === 'answer') {
      waiting.get(data.id)?.resolve(data.value);
      waiting.delete(data.id);
    } else if (data.kind === 'progress') waiting.get(data.id)?.onProgress?.(data.share);
    else if (data.kind === 'read') {
      const { id, file, ranges } = data;
      void given.read(file, ranges).then((blocks) => api.postMessage({ kind: 'bytes', id, blocks }));
    } else callback?.(data);
  });
  return {
    send: (message) => api.postMessage(message),
    ask: (about, ask, onProgress) => {
      lastId += 1;
      const id = lastId;
      const answer = new Promise<unknown>((resolve) => waiting.set(id, { resolve, onProgress }));
      api.postMessage({ kind: 'ask', id, about, ask } as FromPage);
      return { answer: answer as never, stop: () => api.postMessage({ kind: 'stop', id }) };
    },
    memory: () => api.getState() ?? null,
    remember: (memory) => api.setState(memory),
    onMessage: (take) => {
      callback = take;
    },
  };
}
