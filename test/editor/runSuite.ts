/**
 * Runs the suite in the editor's extension host and waits for its verdict.
 */

import { join } from 'node:path';
import type { EditorHost } from './editorHost.ts';
import { bundleSuite } from './suiteBundle.ts';

export interface SuiteResult {
  /** 0 when every check passed. */
  readonly code: number;
  readonly log: readonly string[];
}

/** `suite` is a file of suite/; `workspaceFile` a .code-workspace, where it isn't the folder of the host. */
export async function runSuite(host: EditorHost, suite?: string, workspaceFile?: string): Promise<SuiteResult> {
  const { extension, tests } = await bundleSuite(join(host.workspace, '..'), suite);
  const log: string[] = [];
  let finish: (code: number) => void = () => undefined;
  const finished = new Promise<number>((resolve) => {
    finish = resolve;
  });
  const page = await host.openPage(
    'Default Dark Modern',
    [
      ['extensionDevelopmentPath', host.address(extension)],
      ['extensionTestsPath', host.address(tests)],
    ],
    {
      beforeLoading: async (fresh) => {
        await fresh.exposeFunction('codeAutomationLog', (_: string, parts: readonly unknown[]) =>
          log.push(parts.map(String).join(' ')),
        );
        await fresh.exposeFunction('codeAutomationExit', (code: number) => finish(code));
      },
      ...(workspaceFile === undefined ? {} : { workspaceFile }),
    },
  );
  const code = await finished;
  await page.context().close();
  return { code, log };
}
