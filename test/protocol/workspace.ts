/**
 * A small workspace on disk and what a language client sends about it.
 */

import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const fixtures = join(import.meta.dirname, '..', 'fixtures', 'editor');

export interface Workspace {
  readonly folder: string;
  readonly uri: (name: string) => string;
  readonly read: (name: string) => Promise<string>;
  readonly write: (name: string, text: string) => Promise<void>;
  readonly remove: (name: string) => Promise<void>;
  readonly discard: () => Promise<void>;
}

/** A copy of the fixtures: one cut in three formats, its sound one frame early in the first clip and three late in the third. */
export async function makeWorkspace(): Promise<Workspace> {
  const folder = await mkdtemp(join(tmpdir(), 'afterclap-workspace-'));
  await cp(fixtures, folder, { recursive: true });
  return {
    folder,
    uri: (name) => pathToFileURL(join(folder, name)).href,
    read: (name) => readFile(join(folder, name), 'utf8'),
    write: (name, text) => writeFile(join(folder, name), text),
    remove: (name) => rm(join(folder, name)),
    discard: () => rm(folder, { recursive: true, force: true }),
  };
}

/** An editor that asks for diagnostics and can do everything we make use of. */
export const PULLING_CLIENT = {
  general: { positionEncodings: ['utf-16'] },
  workspace: {
    applyEdit: true,
    workspaceEdit: { documentChanges: true },
    didChangeWatchedFiles: { dynamicRegistration: true },
    diagnostics: { refreshSupport: true },
  },
  textDocument: {
    diagnostic: {},
    publishDiagnostics: {
      relatedInformation: true,
      versionSupport: true,
      codeDescriptionSupport: true,
      dataSupport: true,
      tagSupport: { valueSet: [1, 2] },
    },
    hover: { contentFormat: ['markdown', 'plaintext'] },
    codeAction: { codeActionLiteralSupport: { codeActionKind: { valueSet: [] } }, isPreferredSupport: true },
  },
} as const;

/** The same editor, waiting to be told. */
export const PUSHED_CLIENT = {
  ...PULLING_CLIENT,
  textDocument: { ...PULLING_CLIENT.textDocument, diagnostic: undefined },
} as const;
