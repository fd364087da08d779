/**
 * What the tests of editor features share: an editor that can show everything, and a document open in it.
 */

import { WireClient } from './wireClient.ts';
import { PULLING_CLIENT, type Workspace } from './workspace.ts';

/** An editor that answers for its settings, draws hints, lenses and colours, and takes trees. */
export const FULL_CLIENT = {
  ...PULLING_CLIENT,
  workspace: {
    ...PULLING_CLIENT.workspace,
    configuration: true,
    workspaceFolders: true,
    didChangeConfiguration: { dynamicRegistration: true },
    inlayHint: { refreshSupport: true },
    codeLens: { refreshSupport: true },
    semanticTokens: { refreshSupport: true },
    textDocumentContent: {},
  },
  textDocument: {
    ...PULLING_CLIENT.textDocument,
    rename: { prepareSupport: true },
    documentSymbol: { hierarchicalDocumentSymbolSupport: true },
  },
} as const;

/** The display settings of the editor, changed by a test before it asks. */
export interface DisplaySettings {
  inlayHints?: unknown;
  codeLens?: unknown;
}

export async function startEditor(
  workspace: Workspace,
  display: DisplaySettings = {},
  capabilities: object = FULL_CLIENT,
  initializationOptions: object = { showsStatus: true },
) {
  const client = await WireClient.start();
  client.answers.set('workspace/configuration', ({ items }) => items.map(() => display));
  await client.request('initialize', {
    processId: process.pid,
    rootUri: null,
    capabilities,
    workspaceFolders: [{ uri: workspace.uri(''), name: 'cut' }],
    initializationOptions,
  });
  client.notify('initialized', {});
  return client;
}

const LANGUAGES: readonly (readonly [ending: string, language: string])[] = [
  ['.otio', 'otio'],
  ['.edl', 'afterclap-edl'],
  ['.timeline.xml', 'afterclap-xml'],
];

export async function openFile(client: WireClient, workspace: Workspace, name: string): Promise<string> {
  const uri = workspace.uri(name);
  const language = LANGUAGES.find(([ending]) => name.endsWith(ending))?.[1] ?? 'json';
  client.open(uri, language, await workspace.read(name));
  return uri;
}

/** The position of the first character of `mark` in a text, `inside` characters on. Lines end with \n in the fixtures. */
export function positionIn(text: string, mark: string, inside = 1): { line: number; character: number } {
  const offset = text.indexOf(mark);
  if (offset === -1) throw new Error(`the text does not hold ${mark}`);
  const before = text.slice(0, offset + inside).split('\n');
  return { line: before.length - 1, character: before.at(-1)?.length ?? 0 };
}

/** The characters of a range. */
export function textIn(
  text: string,
  range: { start: { line: number; character: number }; end: { line: number; character: number } },
): string {
  const lines = text.split('\n');
  const offset = ({ line, character }: { line: number; character: number }): number =>
    lines.slice(0, line).reduce((sum, { length }) => sum + length + 1, 0) + character;
  return text.slice(offset(range.start), offset(range.end));
}

export const WHOLE = { start: { line: 0, character: 0 }, end: { line: 99_999, character: 0 } };
