/**
 * The document of a review: what stands in it, and where its links lead.
 *
 * Held against what `compare --format json` really prints for two versions of the sample.
 */

import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseReview, type ReviewData } from '../../../client/src/review/reviewData.ts';
import { type ReviewText, reviewText } from '../../../client/src/review/reviewText.ts';
import { buildCli, type Cli, makeWorkspace, type Workspace } from '../cli/runCli.ts';

let cli: Cli;
let work: Workspace;
let review: ReviewData;
let page: ReviewText;

beforeAll(async () => {
  cli = await buildCli();
  work = makeWorkspace('samples');
  const before = readFileSync(work.path('millrace.otio'), 'utf8');
  work.write('old.otio', before);
  await cli.run(['check', 'millrace.otio', '--fix'], work.folder);
  const { stdout } = await cli.run(['compare', 'old.otio', 'millrace.otio', '--format', 'json'], work.folder);
  review = parseReview(stdout) as ReviewData;
  page = reviewText(review, 'millrace.otio', 'the last commit');
});
afterAll(() => {
  cli.dispose();
  work.dispose();
});

describe('a review', () => {
  test('says first of what it is, then what happened to sync, then which report was used', () => {
    const [title, , headline, report] = page.text.split('\n');
    expect(title).toBe('millrace.otio since the last commit');
    expect(headline).toMatch(/^\d+ sounds? changed against/);
    expect(report).toContain('millrace.alignment.json');
  });

  test('tells every sentence of the command once', () => {
    const sentences = [
      ...review.sync.map(({ text }) => text),
      ...review.findings.gone.map(({ message }) => message),
      ...review.clips.map(({ text }) => text),
    ];
    expect(sentences.length).toBeGreaterThan(5);
    for (const sentence of sentences) expect(page.text.split(`    ${sentence}\n`), sentence).not.toHaveLength(1);
  });

  test('lists what was accepted since, with its reason, and leads to it in the new version', async () => {
    const before = readFileSync(work.path('millrace.edl'), 'utf8');
    work.write('old.edl', before);
    const accepted = '* AFTERCLAP ACCEPT sound-leads: the latch is heard early on purpose\n';
    work.write('millrace.edl', before.replace('door, latch (deck)\n', `door, latch (deck)\n${accepted}`));
    const { stdout } = await cli.run(['compare', 'old.edl', 'millrace.edl', '--format', 'json'], work.folder);
    const { text, links } = reviewText(parseReview(stdout) as ReviewData, 'millrace.edl', 'the last commit');
    expect(text).toMatch(
      /\nFindings accepted now\n\n {2}millrace\.edl:20:30 {2}sound-leads \(error\)\n {4}Sound deck-01 leads by 41\.7 ms .* It is accepted: the latch is heard early on purpose\n/,
    );
    expect(links.map(({ version, start, end }) => [version, text.slice(start, end)])).toEqual([['new', 'millrace.edl:20:30']]);
  });

  test('links each place to the number in the text that the sentence is about', () => {
    expect(page.links.length).toBeGreaterThan(5);
    const texts = {
      old: readFileSync(work.path('old.otio'), 'utf8').split('\n'),
      new: readFileSync(work.path('millrace.otio'), 'utf8').split('\n'),
    };
    for (const { start, end, version, range } of page.links) {
      const file = version === 'old' ? 'old.otio' : 'millrace.otio';
      expect(page.text.slice(start, end)).toBe(`${file}:${range.start.line}:${range.start.column}`);
      expect(range.end.line).toBe(range.start.line);
      const aimed = texts[version][range.start.line - 1]?.slice(range.start.column - 1, range.end.column - 1);
      expect(aimed).toMatch(/^[\d.]+$/);
    }
  });
});

describe('odd reviews', () => {
  const empty: ReviewData = {
    old: { path: 'HEAD:cut.otio' },
    new: { path: 'cut.otio' },
    report: 'No report was found.',
    headline: 'Nothing changed that a timeline says.',
    timeline: [],
    sync: [],
    findings: { appeared: [], gone: [], accepted: [] },
    blocks: [],
    clips: [],
    rest: null,
  };
  const range = { start: { line: 3, column: 5 }, end: { line: 3, column: 8 } };

  test('without changes are short', () => {
    expect(reviewText(empty, 'cut.otio', 'the last commit').text).toBe(
      [
        'cut.otio since the last commit',
        '',
        'Nothing changed that a timeline says.',
        'No report was found.',
        'When the timeline is saved with a change, it is told here.',
        '',
      ].join('\n'),
    );
  });

  test('a removed clip leads into the old version, a finding in a report nowhere', () => {
    const { text, links } = reviewText(
      {
        ...empty,
        findings: {
          appeared: [{ code: 'report-invalid', severity: 'error', message: 'Wrong.', range: null, before: null }],
          gone: [],
          accepted: [],
        },
        clips: [{ old: [{ name: 'tea', range }], new: [], text: "'tea': removed." }],
      },
      'cut.otio',
      'the last commit',
    );
    expect(text).toContain('\n  report-invalid (error)\n    Wrong.\n');
    expect(links.map(({ version, start, end }) => [version, text.slice(start, end)])).toEqual([['old', 'HEAD:cut.otio:3:5']]);
  });

  test('what is said of both clips of one event is said once', () => {
    const clip = { old: [], new: [{ name: 'tea', range }], text: "'tea': added." };
    const { text, links } = reviewText({ ...empty, clips: [clip, clip] }, 'cut.edl', 'the last commit');
    expect(links).toHaveLength(1);
    expect(text.match(/added/g)).toHaveLength(1);
  });

  test('a line break in a name tears nothing apart, and links after it still fit', () => {
    const clips = ['te\nand\r\nea', 'biscuit'].map((name, index) => ({
      old: [],
      new: [{ name, range: { start: { line: index + 1, column: 1 }, end: { line: index + 1, column: 4 } } }],
      text: 'added.',
    }));
    const { text, links } = reviewText({ ...empty, clips }, 'cut.otio', 'the last commit');
    expect(text).toContain('  cut.otio:1:1  te and ea\n');
    expect(links.map(({ start, end }) => text.slice(start, end))).toEqual(['cut.otio:1:1', 'cut.otio:2:1']);
  });

  test.each(['', 'afterclap', '{}', 'null', '[]'])('%j is no review', (output) => {
    expect(parseReview(output)).toBeNull();
  });
});
