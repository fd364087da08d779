/**
 * Leaves out of a bundle what the protocol libraries bring and nobody here calls.
 *
 * The libraries are CommonJS, which a bundler can't thin out by itself. They are read as ES modules instead (asModules.mjs),
 * which drops the names of messages, the checks of types and the classes that nobody uses. What is bound at run time and so
 * can't be seen to be unused, notebooks or a finder of Node modules, is named below. Nothing of what remains is changed in
 * meaning. Should the server come to use something that was left out, the build fails with the name of what is missing.
 *
 * What would break: a new version of a library may be written differently. Then the build stops and says where.
 */

import { readFile } from 'node:fs/promises';
import { asModule } from './asModules.mjs';

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

export const slimProtocol = {
  name: 'slim-protocol',
  setup(building) {
    building.onLoad(
      { filter: /node_modules[\\/]vscode-(?:languageserver|languageclient|jsonrpc)[^\\/]*[\\/].*\.js$/ },
      async ({ path }) => {
        const [name] = path.replaceAll('\\', '/').match(/vscode-(?:languageserver|languageclient|jsonrpc)[^/]*\/.*$/);
        return { contents: STUBS[name] ?? asModule(await readFile(path, 'utf8'), name), loader: 'js' };
      },
    );
  },
};
