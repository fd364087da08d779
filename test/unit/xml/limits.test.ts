/**
 * Bounds and attacks: every limit says that it cut something short, and nothing hangs, recurses or expands.
 */

import { describe, expect, test } from 'vitest';
import { readTimelineXml } from '../../../server/src/core/formats/xml/readTimelineXml.ts';
import { XML_LIMITS } from '../../../server/src/core/syntax/xml/xmlLimits.ts';
import { changed, messages, readXml, SMALL_CUT } from './xmlSupport.ts';

const head = '<Timeline xmlns="urn:afterclap:timeline:1">';

describe('limits report themselves', () => {
  test('length of the text: the clips before it are read, none is invented', () => {
    const textLength = SMALL_CUT.indexOf('<Track kind="Audio">');
    const timeline = readTimelineXml(SMALL_CUT, { ...XML_LIMITS, textLength });
    expect(timeline.clips).toHaveLength(2);
    expect(timeline.observations).toMatchObject([
      { kind: 'limit', message: `Only the first ${textLength} of ${SMALL_CUT.length} characters are read.` },
    ]);
  });

  test('depth', () => {
    const deep = `${'<x:a xmlns:x="urn:example:x">'.repeat(20)}${'</x:a>'.repeat(20)}`;
    const timeline = readTimelineXml(changed('<Gap>', `${deep}<Gap>`), { ...XML_LIMITS, depth: 10 });
    expect(timeline.observations).toMatchObject([{ kind: 'limit', message: expect.stringContaining('more than 10 deep') }]);
    expect(timeline.clips).toHaveLength(3);
  });

  test('attributes of one element', () => {
    const many = Array.from({ length: 70 }, (_, index) => `xmlns:p${index}="urn:example:${index}"`).join(' ');
    const timeline = readXml(changed('<Gap>', `<Gap ${many}>`));
    expect(timeline.observations).toMatchObject([{ kind: 'limit', message: expect.stringContaining('more than 64 attributes') }]);
  });

  test('problems that are listed', () => {
    const timeline = readTimelineXml(changed('<Gap>', `${'<Pause/>'.repeat(50)}<Gap>`), { ...XML_LIMITS, problems: 10 });
    expect(timeline.observations).toHaveLength(11);
    expect(timeline.observations.filter(({ kind }) => kind === 'limit')).toHaveLength(1);
    expect(timeline.clips).toHaveLength(3);
  });

  test('errors of the parser', () => {
    const timeline = readTimelineXml(`${head}${'</a>'.repeat(50)}`, { ...XML_LIMITS, parserErrors: 10 });
    expect(messages(timeline).join()).toContain('more than 10 syntax errors');
  });
});

describe('attacks', () => {
  test('a hundred thousand nested stacks', () => {
    const text = `${head}${'<Stack>'.repeat(100_000)}`;
    const timeline = readXml(text);
    expect(messages(timeline).join('\n')).toMatch(/Elements stand more than 512 deep here/);
    const closed = `${head}${'<Stack>'.repeat(100_000)}${'</Stack>'.repeat(100_000)}</Timeline>`;
    expect(messages(readXml(closed)).join('\n')).toMatch(/more than 512 deep/);
  });

  test('a hundred thousand tracks that nobody closes', () => {
    expect(readXml(`${head}<Stack>${'<Track kind="Video">'.repeat(100_000)}`).tracks.length).toBeGreaterThan(500);
  });

  test('end tags that close nothing, far inside', () => {
    const text = `${head}${'<x:a xmlns:x="urn:x">'.repeat(500)}${'</b>'.repeat(200_000)}`;
    expect(messages(readXml(text)).join('\n')).toMatch(/Reading stops here: more than 50000 syntax errors/);
  });

  test('entities within entities are not even looked at', () => {
    const bomb = `<!DOCTYPE Timeline [<!ENTITY a "${'ha'.repeat(100)}"><!ENTITY b "${'&a;'.repeat(100)}">]>`;
    const timeline = readXml(changed('Harbour', '&b;', changed('<Timeline', `${bomb}<Timeline`)));
    expect(timeline.name).toBe('&b;, cut 3');
    expect(timeline.clips).toHaveLength(3);
  });

  test('an external document type is never fetched, and said', () => {
    const timeline = readXml(changed('<Timeline', '<!DOCTYPE Timeline SYSTEM "http://localhost/x.dtd"><Timeline'));
    expect(messages(timeline)).toEqual([expect.stringContaining('A DOCTYPE stands here')]);
  });

  test.each([
    ['a name', `<${'a'.repeat(5_000_000)}`],
    ['an attribute', `<a b="${'c'.repeat(5_000_000)}`],
    ['a declaration', `<!${'a'.repeat(5_000_000)}`],
    ['a comment', `<!--${'a'.repeat(5_000_000)}`],
    ['text', 'a'.repeat(5_000_000)],
    ['ampersands', `${head}<ContentTitle>${'&'.repeat(500_000)}`],
    ["'<'s", '<'.repeat(1_000_000)],
    ['quotation marks', `<a ${'"'.repeat(1_000_000)}`],
    ['hyphens', `<!--${'-'.repeat(1_000_000)}-->`],
    ['blanks', `<${' '.repeat(1_000_000)}`],
    ['NULs', '\u0000'.repeat(1_000_000)],
  ])('one endless line of %s', (_, text) => {
    const timeline = readXml(text);
    expect(timeline.observations.length).toBeGreaterThan(0);
    for (const { span } of timeline.observations) {
      expect(span.start >= 0 && span.start <= span.end && span.end <= text.length).toBe(true);
    }
  });

  test('a number of a million digits', () => {
    expect(messages(readXml(changed('<EntryPoint>24<', `<EntryPoint>${'9'.repeat(1_000_000)}<`))).join()).toContain(
      'longer than 40 characters',
    );
  });

  test('unclosed elements of many names, each to be looked for to the end of the text', () => {
    const names = Array.from({ length: 20_000 }, (_, index) => `<x:a${index} xmlns:x="urn:x">`);
    expect(readXml(changed('<Gap>', `${names.join('')}<Gap>`)).observations.length).toBeGreaterThan(0);
  });
});
