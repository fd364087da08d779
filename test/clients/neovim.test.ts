/**
 * Neovim with the set-up of our page. Debian 12 has 0.7.2, the plainest client there is: it asks for no diagnostics, watches no files,
 * takes no versioned edits, counts in UTF-16 and says nothing of it.
 */

import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { firstLineOf, PATIENCE_MS, runEditor, type Seen } from './editorRun.ts';
import { expectFindings, expectFix, expectHover, expectNavigation, expectNewReport, expectWideColumns } from './expectations.ts';

const version = await firstLineOf('nvim', ['--version'], 'Neovim is not installed here');

describe.skipIf(version === null)(`in ${version ?? 'Neovim (not installed)'}`, () => {
  let seen: Seen;

  beforeAll(async () => {
    seen = await runEditor({
      heading: 'Neovim',
      language: 'lua',
      program: 'nvim',
      args: (setUp) => [
        '--headless',
        '-n',
        '-i',
        'NONE',
        '-u',
        setUp,
        '-c',
        `luafile ${join(import.meta.dirname, 'neovim.lua')}`,
      ],
    });
  }, PATIENCE_MS);

  it('the whole script ran, with one server for all files, which left with 0', () => {
    expect(seen.problem).toBeUndefined();
    expect(seen.servers).toBe(1);
    expect(seen.exit_code).toBe(0);
  });

  it('findings stand on the wrong numbers of all formats, with their code and source', () => {
    expectFindings(seen);
    expect(seen['interview.edl'].map(({ code, source }) => `${source} ${code}`)).toEqual([
      'afterclap sound-leads',
      'afterclap sound-lags',
    ]);
  });

  it('K shows the times and the lag', () => expectHover(seen));

  it('gra makes the fix that was chosen, and no other change', () => expectFix(seen));

  it('a report that another program wrote counts once the timeline is saved', () => expectNewReport(seen));

  it('columns are right behind other characters than ASCII', () => expectWideColumns(seen));

  it('definition, references, outline and rename work across the files', () => expectNavigation(seen));
});
