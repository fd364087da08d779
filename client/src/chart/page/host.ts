/**
 * The editor as the page sees it: a way to send, and a place to keep what must outlive the page.
 */

import type { FromPage, PageMemory, ToPage } from '../chartMessages.ts';

interface EditorApi {
  readonly postMessage: (message: FromPage) => void;
  readonly getState: () => PageMemory | undefined;
  readonly setState: (memory: PageMemory) => void;
}

declare function acquireVsCodeApi(): EditorApi;

export interface Host {
  readonly send: (message: FromPage) => void;
  readonly memory: () => PageMemory | null;
  readonly remember: (memory: PageMemory) => void;
  readonly onMessage: (callback: (message: ToPage) => void) => void;
}

export function createHost(): Host {
  const api = acquireVsCodeApi();
  return {
    send: (message) => api.postMessage(message),
    memory: () => api.getState() ?? null,
    remember: (memory) => api.setState(memory),
    onMessage: (callback) => addEventListener('message', ({ data }: MessageEvent<ToPage>) => callback(data)),
  };
}
