/**
 * Written neutral XML against its published schema, by a reference validator (libxml2's xmllint, compiled to WebAssembly).
 */

import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { validateXML } from 'xmllint-wasm';
import { renderXmlTree } from '../../../server/src/project/convert/renderXmlTree.ts';
import { convert, read, textOf } from './conversions.ts';
import { timelines } from './randomTimelines.ts';

const schema = {
  fileName: 'timeline.xsd',
  contents: readFileSync(resolve(import.meta.dirname, '../../../syntaxes/timeline.xsd'), 'utf8'),
};

async function complaints(texts: readonly string[]): Promise<readonly string[]> {
  const xml = texts.map((contents, index) => ({ fileName: `cut${index}.xml`, contents }));
  const result = await validateXML({ xml, schema });
  return result.errors.map(({ message, loc }) => `${loc?.fileName ?? ''}:${loc?.lineNumber ?? 0} ${message}`);
}

describe('written neutral XML', () => {
  it('validates, whatever the timeline', async () => {
    const samples = [
      ...fc.sample(timelines('wild', { mostSounds: 5, mostPictures: 2 }), 60),
      ...fc.sample(timelines('exact'), 20),
    ];
    expect(await complaints(samples.map((timeline) => textOf(timeline, 'xml')))).toEqual([]);
  });

  it('validates for what becomes of a damaged source, numbers out of all proportion included', async () => {
    const text = readFileSync(resolve(import.meta.dirname, '../../../samples/millrace.otio'), 'utf8');
    const pieces = text.split(/(?<=[,{}[\]])/);
    const damage = fc.record({
      at: fc.nat(pieces.length - 1),
      number: fc.constantFrom('-1', '1e300', '0.333333333333333333333', '99999999999999999999999', '0'),
    });
    const damaged = fc.sample(fc.array(damage, { minLength: 1, maxLength: 8 }), 80).map((damages) => {
      const copy = [...pieces];
      for (const { at, number } of damages) copy[at] = (copy[at] as string).replace(/-?[\d.]+/, number);
      return copy.join('');
    });
    const texts = damaged.flatMap((source) => {
      // A rate out of all proportion is refused for the whole timeline.
      const isRefused = read('otio', source).clips.length === 0 || read('otio', source).rate.numerator > 1e9;
      return isRefused ? [] : [convert('otio', source, 'xml').text];
    });
    expect(texts.length).toBeGreaterThan(40);
    expect(await complaints(texts)).toEqual([]);
  });

  it('validates for the sample cut from each of its formats', async () => {
    const folder = resolve(import.meta.dirname, '../../../samples');
    const texts = (['otio', 'edl', 'xml'] as const).map((format) => {
      const name = format === 'xml' ? 'millrace.timeline.xml' : `millrace.${format}`;
      return convert(format, readFileSync(resolve(folder, name), 'utf8'), 'xml', {
        rate: { numerator: 24000, denominator: 1001 },
      }).text;
    });
    expect(await complaints(texts)).toEqual([]);
  });

  it('holds the acceptances of the sample cut', () => {
    const text = readFileSync(resolve(import.meta.dirname, '../../../samples/millrace.otio'), 'utf8');
    const before = read('otio', text);
    const after = convert('otio', text, 'xml').timeline;
    expect(before.acceptances.length).toBeGreaterThan(0);
    expect(after.acceptances.map(({ code, reason }) => [code, reason])).toEqual(
      before.acceptances.map(({ code, reason }) => [code, reason]),
    );
  });
});

describe('an XML tree as text', () => {
  it('keeps the order of its children, escapes, and is not fooled by text that looks like its own markup', () => {
    const leaf = (name: string, content: string): { name: string; attributes: Record<string, string>; content: string } => ({
      name,
      attributes: {},
      content,
    });
    const text = renderXmlTree({
      name: 'Track',
      attributes: { kind: 'A "B" <C> & D' },
      content: [leaf('Clip', '<Clip.3> </Gap.1> & more'), leaf('Gap', ''), leaf('Clip', '7.25')],
    });
    expect(text).toBe(`<?xml version="1.0" encoding="UTF-8"?>
<Track kind="A &quot;B&quot; &lt;C> &amp; D">
  <Clip>&lt;Clip.3&gt; &lt;/Gap.1&gt; &amp; more</Clip>
  <Gap/>
  <Clip>7.25</Clip>
</Track>
`);
  });
});
