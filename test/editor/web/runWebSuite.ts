/**
 * Runs the suite in the editor's extension host and waits for its verdict.
 */

import type { WebHost } from './webHost.ts';

const PATIENCE_MS = 150_000;

export interface SuiteResult {
  /** 0 when every check passed; null when the page never said how it went. */
  readonly code: number | null;
  readonly log: readonly string[];
}

export async function runWebSuite(host: WebHost): Promise<SuiteResult> {
  const log: string[] = [];
  let page: Awaited<ReturnType<WebHost['openPage']>> | undefined;
  const code = await new Promise<number | null>((finish, fail) => {
    setTimeout(() => finish(null), PATIENCE_MS).unref();
    host.openPage({ theme: 'Default Dark Modern', suite: { log: (line) => log.push(line), finish } }).then((opened) => {
      page = opened;
    }, fail);
  });
  await page?.context().close();
  return { code, log };
}
