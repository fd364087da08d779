/**
 * The readers of XML and of addresses as the server's bundle holds them, against the whole libraries: what is left does the same.
 *
 * Source of the expectations: the packages themselves, `sax` and `vscode-uri`, as Node loads them.
 */

import { createRequire } from 'node:module';
import { join } from 'node:path';
import { build, type Plugin } from 'esbuild';
import { describe, expect, it } from 'vitest';

const root = join(import.meta.dirname, '..', '..', '..');
const require = createRequire(import.meta.url);
const { slimReaders } = (await import(join(root, '.build/slimReaders.mjs'))) as { slimReaders: Plugin };

async function bundled(contents: string, plugins: readonly Plugin[]): Promise<Record<string, unknown>> {
  const { outputFiles } = await build({
    stdin: { contents, resolveDir: root },
    bundle: true,
    write: false,
    platform: 'neutral',
    mainFields: ['module', 'main'],
    conditions: ['import'],
    external: ['stream', 'string_decoder'],
    format: 'cjs',
    minify: true,
    plugins: [...plugins],
    logLevel: 'silent',
  });
  const module = { exports: {} };
  new Function('module', 'exports', 'require', outputFiles[0]?.text ?? '')(module, module.exports, require);
  return module.exports;
}

interface Parser {
  [handler: `on${string}`]: (value: unknown) => void;
  write(text: string): { close(): void };
}
type Sax = { parser(isStrict: boolean, options: object): Parser; EVENTS: readonly string[] };

function eventsOf(sax: Sax, text: string): readonly unknown[] {
  const events: unknown[] = [];
  const parser = sax.parser(true, { strictEntities: true });
  for (const event of sax.EVENTS) {
    parser[`on${event}`] = (value) => {
      events.push([event, value instanceof Error ? value.message : structuredClone(value)]);
      if (value instanceof Error) (parser as unknown as { error: null }).error = null;
    };
  }
  parser.write(text).close();
  return events;
}

describe('the reader of XML', () => {
  it.each([
    '<a x="1" y=\'&lt;2&#233;&#x1F3AC;\'><b/>text &amp; more<![CDATA[ <raw> ]]></a>',
    '<?xml version="1.0" encoding="UTF-8"?><!-- note --><a><?go on?></a>',
    '<!DOCTYPE a [<!ENTITY e "own">]><a>&e;</a>',
    // Names of HTML are unknown to XML (XML 1.0, 4.6), so nothing is lost with them.
    '<a>&eacute; &nbsp; &bogus;</a>',
    '<a><b></a>',
    '<a x=1>',
    'no markup',
  ])('says the same of %j', async (text) => {
    const contents = "import sax from 'sax/lib/sax.js'; export { sax };";
    const [slim, whole] = await Promise.all([bundled(contents, [slimReaders]), bundled(contents, [])]);
    const expected = eventsOf(whole['sax'] as Sax, text);
    expect(expected.length).toBeGreaterThan(0);
    expect(eventsOf(slim['sax'] as Sax, text)).toEqual(expected);
  });
});

type Uris = { URI: { parse(text: string): { path: string; toString(): string; with(change: object): { toString(): string } } } };

describe('the reader of addresses', () => {
  it.each([
    'file:///cut/day%201/long.otio',
    'file:///C:/Cut/Reel%20%231.edl',
    'file://share/Cut/a.edl',
    'vscode-vfs://github/some/place/cut.edl?ref=main#top',
    'untitled:Cut-1',
    'http://[::1]:80/a/b/../c',
  ])('says the same of %s', async (text) => {
    const contents = "export { URI } from 'vscode-uri';";
    const [slim, whole] = await Promise.all([bundled(contents, [slimReaders]), bundled(contents, [])]);
    const told = ({ URI }: Uris) => {
      const uri = URI.parse(text);
      return [uri.path, uri.toString(), uri.with({ path: '/other/ä b.edl' }).toString(), Object.entries(uri)];
    };
    expect(told(slim as unknown as Uris)).toEqual(told(whole as unknown as Uris));
  });
});
