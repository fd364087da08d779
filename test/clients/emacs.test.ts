/**
 * Emacs with the set-up of our page and the eglot of Debian 12 (Emacs 28.2, eglot 1.9). It watches files, takes versioned edits, asks for
 * no diagnostics, and shows the code of each in brackets.
 */

import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { firstLineOf, PATIENCE_MS, runEditor, type Seen } from './editorRun.ts';
import { expectFindings, expectFix, expectHover, expectNavigation, expectNewReport, expectWideColumns } from './expectations.ts';

// Packages of Debian are found once they are initialized, as Emacs does by itself when it is not in batch mode.
const START = ['--batch', '--eval', '(package-initialize)'];
const version = await firstLineOf('emacs', ['--version'], 'Emacs is not installed here');
const eglot = [...START, '--eval', "(require 'eglot)"];
const isEglotThere = version !== null && (await firstLineOf('emacs', eglot, 'this Emacs has no eglot')) !== null;

describe.skipIf(!isEglotThere)(`in ${version ?? 'Emacs (not installed)'}`, () => {
  let seen: Seen;

  beforeAll(async () => {
    seen = await runEditor({
      heading: 'Emacs',
      language: 'elisp',
      program: 'emacs',
      args: (setUp) => [...START, '-l', setUp, '-l', join(import.meta.dirname, 'emacs.el')],
    });
  }, PATIENCE_MS);

  it('the whole script ran, with one server for all files, which left with 0', () => {
    expect(seen.problem).toBeUndefined();
    expect(seen.servers).toBe(1);
    expect(seen.exit_code).toBe(0);
  });

  it('findings stand on the wrong numbers of all formats, with their code and source', () => {
    expectFindings(seen);
    expect(seen['interview.edl'].map(({ message }) => message.split(':')[0])).toEqual([
      'afterclap [sound-leads]',
      'afterclap [sound-lags]',
    ]);
  });

  it('eldoc shows the times and the lag', () => expectHover(seen));

  it('eglot-code-actions makes the fix that was chosen, and no other change', () => expectFix(seen));

  it('a report that another program wrote counts at once', () => expectNewReport(seen));

  it('columns are right behind other characters than ASCII', () => expectWideColumns(seen));

  it('definition, references, outline and rename work across the files', () => expectNavigation(seen));
});
