/**
 * Runs a suite in the editor's extension host and waits for its verdict.
 */

import type { WebHost, WebSuiteName } from './webHost.ts';

const PATIENCE_MS = 150_000;

export interface SuiteResult {
  /** 0 when every check passed; null when the page never said how it went. */
  readonly code: number | null;
  readonly log: readonly string[];
}

/** `workspaceFile` is a .code-workspace, where it isn't the served folder. */
export async function runWebSuite(host: WebHost, name: WebSuiteName, workspaceFile?: string): Promise<SuiteResult> {
  const log: string[] = [];
  let page: Awaited<ReturnType<WebHost['openPage']>> | undefined;
  const code = await new Promise<number | null>((finish, fail) => {
    setTimeout(() => finish(null), PATIENCE_MS).unref();
    const suite = { name, log: (line: string) => log.push(line), finish };
    const opened = workspaceFile === undefined ? {} : { workspaceFile };
    host.openPage({ theme: 'Default Dark Modern', suite, ...opened }).then((fresh) => {
      page = fresh;
    }, fail);
  });
  await page?.context().close();
  return { code, log };
}
