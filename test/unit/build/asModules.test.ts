/**
 * The protocol libraries as the bundles hold them, against the same libraries as Node loads them: every name that they offer is
 * there, and every message has its method.
 *
 * Source of the expectations: the packages themselves, `vscode-languageserver` and `vscode-jsonrpc`, read as CommonJS.
 */

import { createRequire } from 'node:module';
import { join } from 'node:path';
import { build, type Plugin } from 'esbuild';
import { describe, expect, it } from 'vitest';

const root = join(import.meta.dirname, '..', '..', '..');
const require = createRequire(import.meta.url);
const { asModule } = (await import(join(root, '.build/asModules.mjs'))) as { asModule: (text: string, path: string) => string };
const { slimProtocol } = (await import(join(root, '.build/slimProtocol.mjs'))) as { slimProtocol: Plugin };

/**
 * A class that is stubbed together with its file, and two functions that come twice, for one platform and for all: to a bundler
 * such a name is nobody's, and a bundle that used it would not build.
 */
const NOT_OFFERED = ['NotebookDocuments', 'createMessageConnection', 'createProtocolConnection'];

type Library = Readonly<Record<string, unknown>>;

/** The whole library through the bundler, nothing dropped. */
async function bundled(entry: string): Promise<Library> {
  const { outputFiles } = await build({
    stdin: { contents: `export * from ${JSON.stringify(entry)};`, resolveDir: root },
    bundle: true,
    write: false,
    platform: 'node',
    format: 'cjs',
    plugins: [slimProtocol],
    logLevel: 'silent',
  });
  const module = { exports: {} as Library };
  new Function('module', 'exports', 'require', outputFiles[0]?.text ?? '')(module, module.exports, require);
  return module.exports;
}

describe.each(['vscode-languageserver/node', 'vscode-languageserver-protocol/node', 'vscode-jsonrpc/node'])('%s', (entry) => {
  it('offers the same names, of the same kinds', async () => {
    const [ours, theirs] = [await bundled(entry), require(entry) as Library];
    const kinds = (library: Library) =>
      Object.fromEntries(
        Object.keys(library)
          .filter((name) => !NOT_OFFERED.includes(name) && name !== 'default')
          .sort()
          .map((name) => [name, typeof library[name]]),
      );
    expect(kinds(ours)).toEqual(kinds(theirs));
  });

  it('has the same message names and numbers', async () => {
    const plain = (library: Library) =>
      JSON.parse(
        JSON.stringify(library, (name, value: unknown) => (NOT_OFFERED.includes(name) || name === 'default' ? undefined : value)),
      ) as Library;
    const [ours, theirs] = [plain(await bundled(entry)), plain(require(entry) as Library)];
    expect(Object.keys(theirs).length).toBeGreaterThan(20);
    expect(ours).toEqual(theirs);
  });
});

describe('a file that is written in another way', () => {
  const head = 'Object.defineProperty(exports, "__esModule", { value: true });\n';

  it.each([
    ['a name that is exported in passing', 'function f() { exports.late = 1; }'],
    ['a file that is loaded in passing', 'const late = () => require("fs");'],
    ['names that are copied in a loop', 'for (const n in all) exports[n] = all[n];'],
  ])('stops the build: %s', (_, text) => {
    expect(() => asModule(head + text, 'lib/new.js')).toThrow(/^lib\/new\.js is written in a way/);
  });

  it('stays as it is where it is a module already', () => {
    const text = 'import { a } from "./a";\nexport const b = a;\n';
    expect(asModule(text, 'lib/esm.js')).toBe(text);
  });
});
