/**
 * Timelines as tests in an editor that is nothing but a page: extension and server are workers, and the folder is a virtual one.
 */

import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { RETRY_COUNT } from './editorHost.ts';
import { OUTPUT, startPackedWebHost } from './web/packedWebHost.ts';
import { runCommand, untilChecked } from './web/person.ts';
import { reasonToSkipWeb, type WebHost } from './web/webHost.ts';

const PATIENCE_MS = 60_000;
const skipped = await reasonToSkipWeb();
if (skipped !== null) console.log(`test/editor/webTimelineTests skipped: ${skipped}`);

describe.skipIf(skipped !== null)('timelines as tests in an editor that is a page', { retry: RETRY_COUNT }, () => {
  let host: WebHost;

  beforeAll(async () => {
    host = await startPackedWebHost();
  }, 200_000);

  afterAll(() => host?.stop());

  it('all are found, checked and counted', async () => {
    const page = await host.openPage({ theme: 'Default Dark Modern', file: host.address('millrace/millrace.edl') });
    page.setDefaultTimeout(PATIENCE_MS);
    await untilChecked(page);
    await runCommand(page, 'Testing: Focus on Test Explorer View');
    const rows = page.locator('.test-explorer .monaco-list-row');
    await rows.filter({ hasText: 'millrace' }).first().waitFor();
    await runCommand(page, 'Test: Run All Tests');
    // The 18 comparisons of samples/README.md; the editor unfolds what holds the text in front.
    for (const name of ['millrace.edl', 'millrace.otio', 'millrace.timeline.xml']) {
      await rows.getByText(`${name}: 9 in, 3 lead, 5 lag, 1 drifts`).waitFor();
    }
    const folders = page.locator('.test-explorer .monaco-list-row[aria-level="1"]');
    const labels = await folders.evaluateAll((all) => all.map(({ ariaLabel }) => ariaLabel?.replace(/ \(.*/, '')));
    expect(labels).toEqual(['broken', 'days', 'millrace', 'utf-16']);
    await page.screenshot({ path: join(OUTPUT, 'web-tests-dark.png') });
    await page.context().close();
  }, 120_000);
});
