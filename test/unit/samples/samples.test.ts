/**
 * Every sample is a test: the cut of samples/ in all three formats, against what its scenario says must come out.
 *
 * The expected lags come from the generator's own fractions, not from the program. The marks are the generator's too: which
 * code, on which clip, under which characters; nothing else may be found.
 */

import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Ajv } from 'ajv';
import { beforeAll, describe, expect, test } from 'vitest';
import { validateXML } from 'xmllint-wasm';
import { EVENTS } from '../../../.build/samples/cutList.ts';
import { expectedMarks, type Mark, type SampleFormat } from '../../../.build/samples/marks.ts';
import { placeCut } from '../../../.build/samples/place.ts';
import { sampleFiles } from '../../../.build/samples/sampleFiles.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit, reportFindings } from '../../../server/src/core/audit.ts';
import type { Finding } from '../../../server/src/core/rules/finding.ts';
import { formatRational } from '../../../server/src/core/time/rational.ts';

const folder = join(fileURLToPath(import.meta.url), '..', '..', '..', '..', 'samples');
const cut = placeCut();

const FILES: Readonly<Record<SampleFormat, string>> = {
  otio: 'millrace.otio',
  xml: 'millrace.timeline.xml',
  edl: 'millrace.edl',
};
const FORMATS = Object.keys(FILES) as SampleFormat[];

describe('the committed files', () => {
  test('are what the generator writes, byte for byte', () => {
    for (const [name, text] of sampleFiles()) expect(readFileSync(join(folder, name), 'utf8'), name).toBe(text);
  });

  test('are all of the folder', () => {
    expect(readdirSync(folder).sort()).toEqual([...sampleFiles().keys()].sort());
  });

  test('say on their page that they are invented', () => {
    expect(readFileSync(join(folder, 'README.md'), 'utf8')).toContain('**Everything here is invented**');
  });
});

describe('the public schemas', () => {
  const root = join(folder, '..');
  const read = (path: string): string => readFileSync(join(root, path), 'utf8');

  test.each([
    ['samples/millrace.alignment.json', 'syntaxes/alignment.schema.json'],
    ['samples/afterclap.json', 'syntaxes/afterclap-settings.schema.json'],
  ])('%s keeps to %s (JSON Schema draft-07, checked by ajv)', (file, schema) => {
    const isValid = new Ajv({ allErrors: true, strict: false }).compile(JSON.parse(read(schema)) as object);
    expect(isValid(JSON.parse(read(file))), JSON.stringify(isValid.errors)).toBe(true);
  });

  test('millrace.timeline.xml keeps to timeline.xsd (W3C XML Schema, checked by libxml2)', async () => {
    const result = await validateXML({
      xml: { fileName: 'millrace.timeline.xml', contents: read('samples/millrace.timeline.xml') },
      schema: read('syntaxes/timeline.xsd'),
    });
    expect(result.errors).toEqual([]);
    expect(result.valid).toBe(true);
  });
});

describe('the scenario', () => {
  test('holds what it is there to hold', () => {
    expect(EVENTS.map(({ id }) => id)).toEqual([
      'plain',
      'lead-of-one',
      'lag-of-three',
      'wrong-clap',
      'l-cut',
      'second-camera',
      'j-cut',
      'cutaway',
      'after-cutaway',
      'long-take',
      'doubled',
      'rate-24',
      'pull',
      'stamp-read-at-24',
      'accepted',
    ]);
  });

  // Worked by hand from the numbers in shoot.ts: one frame is 1001/24000 s, claps 896905.25 - 440286 samples apart.
  test.each([
    ['door, latch (deck)', '-1001/24000', 'leads by exactly one frame'],
    ['door, step (deck)', '1001/8000', 'lags by exactly three frames'],
    ['door, reverse (deck)', '1826477/192000', 'lags by the distance of the two claps, 456619.25 samples'],
    ['race, wide (deck)', '-1001/12000', 'leads by two frames: 2002 frames of the file counted at 24'],
    ['race, wheel (deck)', '1001/12000', 'lags by two frames: 4008004 samples counted at 48048'],
    ['stones, again (deck, second time)', '1001/24000', 'lags by one frame, which is still in'],
  ])('%s has the lag %s (%s)', (soundClip, lag) => {
    expect(cut.pairs.find((pair) => pair.soundClip === soundClip)?.lag.head).toBe(lag);
  });

  test('lets the back-up drift by 55 ppm of the 1101.1 s of the long take', () => {
    const [head, tail] = ['head', 'tail'].map((end) => {
      const row = cut.pairs.find((pair) => pair.soundClip === 'miller, long take (pocket)');
      const [over = '', under = '1'] = (row?.lag[end as 'head' | 'tail'] ?? '').split('/');
      return Number(over) / Number(under);
    });
    expect((tail as number) - (head as number)).toBeCloseTo(0.0605605, 9);
  });
});

describe.each(FORMATS)('the cut as %s', (format) => {
  const text = readFileSync(join(folder, FILES[format]), 'utf8');
  let result: Audit;
  beforeAll(() => {
    const settings = readSettings('afterclap.json', readFileSync(join(folder, 'afterclap.json'), 'utf8'));
    const report = readReport('millrace.alignment.json', readFileSync(join(folder, 'millrace.alignment.json'), 'utf8'));
    expect(reportFindings(report, settings)).toEqual([]);
    expect(settings.problems).toEqual([]);
    result = audit({ format, text, reports: [report], settings });
  });

  test('compares every picture with its sound, each lag exact', () => {
    const { clips } = result.timeline;
    const rows = result.comparisons.map(({ pair, pictureClip, soundClip, record, lag, verdict }) => ({
      picture: pair.picture.key,
      sound: pair.sound.key,
      pictureClip: clips[pictureClip]?.name,
      soundClip: clips[soundClip]?.name,
      record: { start: formatRational(record.start), end: formatRational(record.end) },
      lag: { head: formatRational(lag.head), tail: formatRational(lag.tail) },
      verdict,
    }));
    expect(rows).toEqual(cut.pairs);
  });

  test('is marked where the scenario says, under the very characters, and nowhere else', () => {
    expect(inOrder(result.findings.map((finding) => asMark(result, finding, text)))).toEqual(
      inOrder(expectedMarks(cut, format).map(({ code, clip, characters }) => ({ code, clip, characters }))),
    );
  });

  test('names the causes that are behind it', () => {
    for (const { code, clip, cause } of expectedMarks(cut, format)) {
      if (cause === null) continue;
      const found = result.findings.filter((finding) => finding.code === code && nameOf(result, finding) === clip);
      expect(found.length, clip).toBeGreaterThan(0);
      for (const finding of found) expect(finding.cause, clip).toContain(cause);
    }
  });

  test('has one accepted exception, with its reason', () => {
    expect(result.accepted.map(({ finding, reason }) => ({ code: finding.code, clip: nameOf(result, finding), reason }))).toEqual(
      [{ code: 'sound-lags', clip: 'bell, far (deck)', reason: 'the bell hangs across the valley and should be heard late' }],
    );
  });

  test('leaves alone what is fine', () => {
    const fine = EVENTS.filter(({ expected }) => expected.length === 0).flatMap(({ picture, sounds }) => [picture, ...sounds]);
    const marked = new Set(result.findings.map((finding) => nameOf(result, finding)));
    expect(fine.map(({ name }) => name).filter((name) => marked.has(name))).toEqual([]);
  });
});

type ShortMark = Pick<Mark, 'code' | 'clip' | 'characters'>;

function asMark(result: Audit, finding: Finding, text: string): ShortMark {
  const { start, end } = finding.place.span;
  return { code: finding.code, clip: nameOf(result, finding), characters: text.slice(start, end) };
}

function nameOf(result: Audit, finding: Finding): string {
  return result.timeline.clips[finding.clips[0] ?? -1]?.name ?? '';
}

function inOrder(marks: readonly ShortMark[]): readonly ShortMark[] {
  const key = ({ clip, code, characters }: ShortMark): string => `${clip} ${code} ${characters}`;
  return [...marks].sort((left, right) => (key(left) < key(right) ? -1 : 1));
}
