/**
 * Leaves out of the server's bundle what the protocol library brings and nobody here calls.
 *
 * The library is CommonJS, which a bundler can't thin out by itself: notebooks, a finder of Node modules and the run-time
 * checks of every type would come along, a tenth of the bundle. Nothing of what remains is changed in meaning. Should the
 * server come to use something that was left out, the build fails with the name of what is missing.
 *
 * What would break: a new version of the library may write its files differently. Then the patterns match less, the bundle
 * grows, and the budget says so.
 */

import { readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const modules = join(dirname(dirname(fileURLToPath(import.meta.url))), 'node_modules');
const typesFile = join(modules, 'vscode-languageserver-types', 'lib', 'esm', 'main.js');
const libraryFile = join(modules, 'vscode-languageserver', 'lib', 'common', 'api.js');

/** Values (not types) that server/src takes from the library. */
const FROM_LIBRARY = [
  'DidChangeConfigurationNotification',
  'DidChangeWatchedFilesNotification',
  'DocumentDiagnosticReportKind',
  'ErrorCodes',
  'FileChangeType',
  'LSPErrorCodes',
  'ResponseError',
];
const FROM_TYPES = ['CodeActionKind', 'DiagnosticSeverity', 'DiagnosticTag', 'MarkupKind'];

/** Values that the library itself takes from its companion of types. */
const FOR_LIBRARY = ['DocumentUri', 'URI', 'WorkspaceFolder', 'integer', 'uinteger'];

/** Parts of the protocol that no handler is bound for. Each is a mixin of the connection, and a file of message names. */
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

/** What stands in for files of the library that nobody calls. */
const STUBS = {
  'vscode-languageserver/lib/common/textDocuments.js': '',
  'vscode-languageserver/lib/node/files.js': '',
  ...Object.fromEntries(
    Object.entries(LEFT_OUT).flatMap(([name, feature]) => [
      [`vscode-languageserver/lib/common/${name}.js`, `exports.${feature} = (Base) => Base;`],
      [`vscode-languageserver-protocol/lib/common/protocol.${name}.js`, ''],
    ]),
  ),
};

export const slimProtocol = {
  name: 'slim-protocol',
  setup(building) {
    const shim = (contents) => ({ contents, loader: 'js', resolveDir: modules });
    building.onResolve({ filter: /^vscode-languageserver$/ }, ({ importer }) =>
      importer.includes('node_modules') ? undefined : { path: 'library', namespace: 'slim' },
    );
    building.onResolve({ filter: /^vscode-languageserver-types$/ }, ({ importer }) =>
      importer.includes('node_modules') ? { path: 'types', namespace: 'slim' } : undefined,
    );
    building.onLoad({ filter: /^library$/, namespace: 'slim' }, () =>
      shim(
        `export { ${FROM_LIBRARY} } from ${JSON.stringify(libraryFile)}; export { ${FROM_TYPES} } from ${JSON.stringify(typesFile)};`,
      ),
    );
    building.onLoad({ filter: /^types$/, namespace: 'slim' }, () =>
      shim(`export { ${FOR_LIBRARY} } from ${JSON.stringify(typesFile)};`),
    );
    building.onLoad({ filter: /node_modules[\\/]vscode-(languageserver|jsonrpc)[^\\/]*[\\/].*\.js$/ }, async ({ path }) => {
      const name = path.slice(modules.length + 1).replaceAll('\\', '/');
      if (name in STUBS) return { contents: STUBS[name], loader: 'js' };
      const text = await readFile(path, 'utf8');
      return { contents: path === typesFile ? withoutSideEffects(text) : withShortExports(text), loader: 'js' };
    });
  },
};

/** Each `var X; (function (X) { ... })(X || (X = {}))` made an expression that may be dropped when nobody uses X. */
function withoutSideEffects(text) {
  return text.replace(
    /export var (\w+);\r?\n\(function \(\1\) \{([\s\S]*?)\r?\n\}\)\(\1 \|\| \(\1 = \{\}\)\);/g,
    'export var $1 = /* @__PURE__ */ (function ($1) {$2\nreturn $1; })({});',
  );
}

/** Re-exports written out as accessors, and the placeholders before them, in the few characters they need. */
function withShortExports(text) {
  return text
    .replace(/^exports\.\w+ = (?:exports\.\w+ = )*void 0;$/gm, '')
    .replace(
      /^Object\.defineProperty\(exports, "(\w+)", \{ enumerable: true, get: function \(\) \{ return ([\w.]+); \} \}\);$/gm,
      'exports.$1 = $2;',
    )
    .replace(/^__exportStar\(require\("vscode-languageserver-types"\), exports\);$/m, '');
}
