/**
 * What continuous integration reads, held against the published forms: SARIF against the OASIS schema, the others against what their
 * makers document. Names and messages come from hostile hands, as files may hold anything.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import sarifSchema from '@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json' with { type: 'json' };
import { Ajv } from 'ajv';
import { beforeAll, describe, expect, test } from 'vitest';
import { validateXML } from 'xmllint-wasm';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { audit, reportFindings } from '../../../server/src/core/audit.ts';
import { formatOfFileName } from '../../../server/src/core/formats/formatFor.ts';
import { type CheckedFile, checkedSideFile, checkedTimeline } from '../../../server/src/core/report/checkedFile.ts';
import { type PlaceNames, placeNames } from '../../../server/src/core/report/placeNames.ts';
import { renderGithubFile, renderGithubTotals } from '../../../server/src/core/report/renderGithub.ts';
import { gitlabFile, renderGitlab } from '../../../server/src/core/report/renderGitlab.ts';
import { junitFile, renderJunit } from '../../../server/src/core/report/renderJunit.ts';
import { renderSarif, sarifFile } from '../../../server/src/core/report/renderSarif.ts';
import { fileUri } from '../../../server/src/core/report/uris.ts';
import { FINDING_CODES } from '../../../server/src/core/rules/finding.ts';
import { buildLineIndex, offsetAt } from '../../../server/src/core/text/lineIndex.ts';
import { JUNIT_XSD } from './junitXsd.ts';

const samples = join(fileURLToPath(import.meta.url), '..', '..', '..', '..', 'samples');
const read = (name: string): string => readFileSync(join(samples, name), 'utf8');
const settings = readSettings('afterclap.json', read('afterclap.json'));
const reportText = read('millrace.alignment.json');

/** Line breaks, signs of every format, marks no XML can hold, half a surrogate pair, a flag of two code points each of two units. */
const HOSTILE = '100 % "of",: <it>&]]> \u0007\u001b[2J\ufffe\ud800 🇨🇭 \u202e::error::x%0A';

function timeline(name: string, change: (text: string) => string = (text) => text, path = name): CheckedFile {
  const text = change(read(name));
  const result = audit({
    format: formatOfFileName(name) ?? 'otio',
    text,
    reports: [readReport('millrace.alignment.json', reportText)],
    settings,
  });
  return checkedTimeline(path, result, { reportReason: 'millrace.alignment.json is used.', toleranceRemark: null, fixed: [] });
}

function brokenReport(): CheckedFile {
  const text = reportText.replace('"picture": "cam-a-07"', '"picture": "cam-a-77"');
  return checkedSideFile('alignment', 'day 1/millrace.alignment.json', text, reportFindings(readReport('x', text), settings));
}

const withHostileName = (text: string): string =>
  text.replaceAll('"name": "door, latch (deck)"', `"name": ${JSON.stringify(HOSTILE)}`);

let files: readonly CheckedFile[];
let others: PlaceNames;

beforeAll(() => {
  files = [
    timeline('millrace.edl'),
    timeline('millrace.otio', withHostileName, `cuts/a b%,:${String.fromCharCode(0xfc)}.otio`),
    timeline('millrace.timeline.xml'),
    timeline('millrace.otio', (text) => text.slice(0, text.length / 2), 'cut off.otio'),
    brokenReport(),
  ];
  others = placeNames(new Map([['millrace.alignment.json', reportText]]));
});

interface SarifResult {
  readonly ruleId: string;
  readonly ruleIndex: number;
  readonly level: string;
  readonly message: { readonly text: string };
  readonly locations: readonly { readonly physicalLocation: SarifPlace }[];
  readonly relatedLocations?: readonly { readonly physicalLocation: SarifPlace }[];
  readonly partialFingerprints: Readonly<Record<string, string>>;
  readonly fixes?: readonly {
    readonly artifactChanges: readonly {
      readonly replacements: readonly {
        readonly deletedRegion: SarifRegion;
        readonly insertedContent: { readonly text: string };
      }[];
    }[];
  }[];
}

interface SarifPlace {
  readonly artifactLocation: { readonly uri: string };
  readonly region?: SarifRegion;
}

interface SarifRegion {
  readonly startLine: number;
  readonly startColumn: number;
  readonly endLine: number;
  readonly endColumn: number;
}

describe('SARIF', () => {
  const run = {
    version: '1.2.3',
    documentationUri: 'file:///docs/codes',
    problems: ['gone.edl is not there'],
    baseline: 'base.json',
  };
  const render = (): {
    readonly runs: readonly [
      {
        readonly results: readonly SarifResult[];
        readonly tool: {
          readonly driver: {
            readonly rules: readonly {
              readonly id: string;
              readonly helpUri: string;
              readonly help: { readonly text: string };
            }[];
          };
        };
        readonly columnKind: string;
      },
    ];
  } =>
    JSON.parse(
      renderSarif(
        files.map((file) => sarifFile(file, others)),
        run,
      ),
    );

  test('keeps to the published schema of version 2.1.0', () => {
    // Published as draft 4, whose words used here mean the same in draft 7; only the name of `id` differs. One of its patterns is no
    // valid one with the flag u.
    const { id: _id, $schema: _draft, ...schema } = sarifSchema as unknown as Record<string, unknown>;
    const ajv = new Ajv({ allErrors: true, strict: false, unicodeRegExp: false });
    ajv.addFormat('uri', (text) => URL.canParse(text));
    ajv.addFormat('uri-reference', (text) => URL.canParse(text, 'https://example.org/') && !/[\s"<>\\^`{|}]/.test(text));
    ajv.addFormat('date-time', (text) => !Number.isNaN(Date.parse(text)));
    const isValid = ajv.compile(schema);
    expect(isValid(render()), JSON.stringify(isValid.errors)).toBe(true);
    expect(isValid({ version: '2.1.0', runs: [{}] }), 'the check can fail').toBe(false);
  });

  test('has a rule with help text and a link for every code, and each result names its own', () => {
    const [{ results, tool }] = render().runs;
    expect(tool.driver.rules.map(({ id }) => id)).toEqual(FINDING_CODES);
    for (const { id, helpUri, help } of tool.driver.rules) {
      expect(helpUri).toBe(`file:///docs/codes/${id}.md`);
      expect(help.text.length).toBeGreaterThan(100);
    }
    expect(results.length).toBe(files.reduce((sum, file) => sum + file.findings.length, 0));
    for (const { ruleId, ruleIndex } of results) expect(tool.driver.rules[ruleIndex]?.id).toBe(ruleId);
  });

  test('counts columns in UTF-16 units, and says so', () => {
    const text = '* 🎬🎬\n001  CAMA0001 V  C  24:00:00:00 24:00:10:00 01:00:00:00 01:00:10:00\n';
    const [{ results, columnKind }] = JSON.parse(
      renderSarif(
        [
          sarifFile(
            timeline('millrace.edl', () => text),
            others,
          ),
        ],
        run,
      ),
    ).runs as [{ results: SarifResult[]; columnKind: string }];
    expect(columnKind).toBe('utf16CodeUnits');
    expect(results.map(({ locations }) => locations[0]?.physicalLocation.region)).toContainEqual({
      startLine: 2,
      startColumn: 21,
      endLine: 2,
      endColumn: 32,
    });
  });

  test('names the picture and the pair of the report as related places, in their own files', () => {
    const [{ results }] = render().runs;
    const lead = results.find(({ ruleId }) => ruleId === 'sound-leads');
    const places = lead?.relatedLocations?.map(({ physicalLocation }) => [
      physicalLocation.artifactLocation.uri,
      physicalLocation.region?.startLine,
    ]);
    expect(places).toEqual([
      ['millrace.edl', 16],
      ['millrace.alignment.json', 26],
    ]);
  });

  test('carries the edit that puts a finding right: made on the text, the finding is gone', () => {
    const file = files[0] as CheckedFile & { readonly kind: 'timeline' };
    const [{ results }] = render().runs;
    const lead = results.find(({ ruleId }) => ruleId === 'sound-leads') as SarifResult;
    const { text } = file.audit.input;
    const index = buildLineIndex(text);
    const replacements = lead.fixes?.[0]?.artifactChanges[0]?.replacements ?? [];
    expect(replacements.length).toBe(2);
    const mended = [...replacements].reverse().reduce((changed, { deletedRegion, insertedContent }) => {
      const start = offsetAt(index, { line: deletedRegion.startLine - 1, column: deletedRegion.startColumn - 1 });
      const end = offsetAt(index, { line: deletedRegion.endLine - 1, column: deletedRegion.endColumn - 1 });
      return changed.slice(0, start) + insertedContent.text + changed.slice(end);
    }, text);
    const after = timeline('millrace.edl', () => mended);
    expect(after.findings.length).toBe(file.findings.length - 1);
  });

  test('has fingerprints that survive lines put before them, and tell equal findings apart', () => {
    const prints = (text: string): readonly string[] =>
      (
        sarifFile(
          timeline('millrace.edl', () => text),
          others,
        ).results as readonly SarifResult[]
      ).map(({ partialFingerprints }) => partialFingerprints['afterclapFinding/v1'] ?? '');
    const before = prints(read('millrace.edl'));
    expect(prints(`\n\n* a note\n${read('millrace.edl')}`)).toEqual(before);
    expect(new Set(before).size).toBe(before.length);
    for (const print of before) expect(print).toMatch(/^[0-9a-f]{16}$/);
  });
});

describe('paths as URIs (RFC 3986)', () => {
  test.each([
    ['./cuts/a b.otio', 'cuts/a%20b.otio'],
    ['../cut#1?.edl', '../cut%231%3F.edl'],
    ['cuts\\day 1\\x.edl', 'cuts/day%201/x.edl'],
    ['/srv/cuts/ü.edl', 'file:///srv/cuts/%C3%BC.edl'],
    ['C:\\cuts\\x.edl', 'file:///C:/cuts/x.edl'],
    ['a\ud800b.edl', 'a%EF%BF%BDb.edl'],
  ])('%s', (path, uri) => {
    expect(fileUri(path)).toBe(uri);
  });
});

describe('GitHub workflow commands', () => {
  // Source: docs 'Workflow commands for GitHub Actions' and the toolkit's own escapes (@actions/core, command.ts).
  const command =
    /^::(error|warning|notice) file=([^,:]*),line=(\d+),endLine=(\d+)(?:,col=(\d+),endColumn=(\d+))?,title=([a-z-]+)::(.*)$/;

  test('are one line each, whatever names and messages hold', () => {
    for (const file of files) {
      const lines = renderGithubFile(file).split('\n').slice(0, -1);
      expect(lines.length).toBe(file.findings.length);
      for (const line of lines) expect(line).toMatch(command);
    }
  });

  test('escape what would end a command or a property, and nothing else', () => {
    const [line = ''] = renderGithubFile(files[1] as CheckedFile).split('\n');
    expect(command.exec(line)?.[2]).toBe('cuts/a b%25%2C%3Aü.otio');
    const message = /sound-leads::(.*)/.exec(renderGithubFile(files[0] as CheckedFile))?.[1];
    expect(message).toBe(files[0]?.findings.find(({ finding }) => finding.code === 'sound-leads')?.finding.message);
  });

  test('say when GitHub will not show them all', () => {
    expect(renderGithubTotals(3, { error: 10, warning: 0, information: 2, fixable: 1 })).toBe(
      '3 files: 10 errors, 2 for information.\n',
    );
    expect(renderGithubTotals(1, { error: 11, warning: 0, information: 0, fixable: 0 })).toContain(
      'Only the first 10 of each kind',
    );
  });
});

describe('the GitLab Code Quality report', () => {
  /** Written by hand from the table 'Implement a custom tool' of GitLab's documentation 'Code Quality'; no package ships a schema. */
  const isReport = new Ajv({ allErrors: true }).compile({
    type: 'array',
    items: {
      type: 'object',
      required: ['description', 'check_name', 'fingerprint', 'severity', 'location'],
      properties: {
        description: { type: 'string', minLength: 1 },
        check_name: { type: 'string', minLength: 1 },
        fingerprint: { type: 'string', minLength: 1 },
        severity: { enum: ['info', 'minor', 'major', 'critical', 'blocker'] },
        location: {
          type: 'object',
          required: ['path', 'lines'],
          properties: {
            path: { type: 'string', pattern: '^(?!\\./|/)' },
            lines: {
              type: 'object',
              required: ['begin'],
              properties: { begin: { type: 'integer', minimum: 1 }, end: { type: 'integer', minimum: 1 } },
            },
          },
        },
      },
    },
  });

  test('has the members that are documented, a fingerprint of its own for each finding, and no byte order mark', () => {
    const text = renderGitlab(files.flatMap(gitlabFile));
    const entries = JSON.parse(text) as { readonly fingerprint: string; readonly location: { readonly path: string } }[];
    expect(isReport(entries), JSON.stringify(isReport.errors)).toBe(true);
    expect(new Set(entries.map(({ fingerprint }) => fingerprint)).size).toBe(entries.length);
    expect(text.startsWith('[')).toBe(true);
    expect(entries.length).toBeGreaterThan(20);
  });

  test('of nothing is an empty list', () => {
    expect(JSON.parse(renderGitlab([]))).toEqual([]);
  });
});

describe('JUnit XML', () => {
  const run = { failOn: 'error', startedAt: '2026-01-31T10:00:00', problems: ['gone.edl is not there'] } as const;
  const validate = (contents: string) => validateXML({ xml: { fileName: 'junit.xml', contents }, schema: JUNIT_XSD });

  test('keeps to what Ant and Jenkins describe, whatever names hold', async () => {
    const { valid, errors } = await validate(renderJunit(files.map(junitFile), run));
    expect(errors).toEqual([]);
    expect(valid).toBe(true);
    expect((await validate('<testsuites><testsuite name="x"/></testsuites>')).valid, 'the check can fail').toBe(false);
  });

  test('counts what failed by --fail-on; the rest passes and is said in the output', () => {
    const counts = (failOn: 'error' | 'warning'): readonly (string | undefined)[] => {
      const xml = renderJunit([junitFile(files[0] as CheckedFile)], { ...run, failOn, problems: [] });
      return [
        /tests="(\d+)"/.exec(xml)?.[1],
        /failures="(\d+)"/.exec(xml)?.[1],
        String(xml.split('<failure ').length - 1),
        String(xml.includes('<system-out>deck-02 is heard twice')),
      ];
    };
    expect(counts('error')).toEqual(['8', '7', '7', 'true']);
    expect(counts('warning')).toEqual(['8', '8', '8', 'false']);
  });

  test('has a case that passed for a file with nothing found, and an error for one that could not be checked', () => {
    const clean = checkedSideFile('alignment', 'fine.alignment.json', reportText, []);
    const xml = renderJunit([junitFile(clean)], run);
    expect(xml).toContain('<testcase name="nothing found" classname="fine.alignment.json" time="0"/>');
    expect(xml).toContain('<error type="not-checked" message="gone.edl is not there">gone.edl is not there</error>');
  });
});
