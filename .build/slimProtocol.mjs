/**
 * Leaves out of a bundle what the protocol libraries bring and nobody here calls.
 *
 * The libraries are CommonJS, which a bundler can't thin out by itself. They are read as ES modules instead (asModules.mjs),
 * which drops the names of messages, the checks of types and the classes that nobody uses. What is bound at run time and so
 * can't be seen to be unused is found otherwise: handlers by their names in server/src/lsp, whole features by the list below.
 * Nothing of what remains is changed in meaning.
 *
 * What would break: a new version of a library may be written differently. Then the build stops and says where.
 */

import { readdir, readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { asModule } from './asModules.mjs';

const serverFolder = join(dirname(dirname(fileURLToPath(import.meta.url))), 'server', 'src', 'lsp');

/** Parts of the protocol that no handler of the server is bound for. Each is a mixin of the connection. */
const LEFT_OUT = {
  callHierarchy: 'CallHierarchyFeature',
  fileOperations: 'FileOperationsFeature',
  inlineCompletion: 'InlineCompletionFeature',
  inlineValue: 'InlineValueFeature',
  linkedEditingRange: 'LinkedEditingRangeFeature',
  moniker: 'MonikerFeature',
  notebook: 'NotebookSyncFeature',
  showDocument: 'ShowDocumentFeature',
  textDocumentContent: 'TextDocumentContentFeature',
  typeHierarchy: 'TypeHierarchyFeature',
};

/** What stands in for files of the server's library that nobody calls. */
const STUBS = Object.fromEntries(
  Object.entries(LEFT_OUT).map(([name, feature]) => [
    `vscode-languageserver/lib/common/${name}.js`,
    `export const ${feature} = (Base) => Base;`,
  ]),
);
// Its list of exports names this class too, which no bundle keeps.
STUBS['vscode-languageserver/lib/common/notebook.js'] += ' export class NotebookDocuments {}';

/** The connection, with a line or three for every message of the protocol that a server may bind a handler to. */
const CONNECTION = 'vscode-languageserver/lib/common/server.js';
const HANDLER = /^ {8}(on[A-Z]\w*): \(handler\) => connection\.on(?:Request|Notification)\((?:.*|.*\{\n {12}.*\n {8}\})\),\n/gm;

export const slimProtocol = {
  name: 'slim-protocol',
  setup(building) {
    let bound = null;
    building.onStart(() => {
      // A watching build must see handlers that were bound since.
      bound = null;
    });
    building.onLoad(
      { filter: /node_modules[\\/]vscode-(?:languageserver|languageclient|jsonrpc)[^\\/]*[\\/].*\.js$/ },
      async ({ path }) => {
        const name = path.replaceAll('\\', '/').split('/node_modules/').at(-1);
        if (name in STUBS) return { contents: STUBS[name], loader: 'js' };
        const text = asModule(await readFile(path, 'utf8'), name);
        if (name !== CONNECTION) return { contents: text, loader: 'js' };
        bound ??= handlersBound();
        const wanted = await bound;
        return { contents: text.replace(HANDLER, (line, handler) => (wanted.has(handler) ? line : '')), loader: 'js' };
      },
    );
  },
};

/** Names of handlers anywhere in the server: more than are bound, never fewer. */
async function handlersBound() {
  const names = (await readdir(serverFolder)).filter((name) => name.endsWith('.ts'));
  const texts = await Promise.all(names.map((name) => readFile(join(serverFolder, name), 'utf8')));
  return new Set(texts.flatMap((text) => text.match(/\bon[A-Z]\w*/g) ?? []));
}
