/**
 * The findings as JUnit XML, which every continuous integration shows as tests: one suite for each file, one case for each finding.
 *
 * There is no standard. The form keeps to the two descriptions that readers go by: the schema of Ant's JUnit task (a suite has
 * properties, cases, output and error output, and a time, a host and a timestamp) and that of the xUnit plugin of Jenkins. A finding
 * below the severity that fails the run is a case that passed; its words stand in the suite's output.
 */

import builder from 'xml2js/lib/builder.js';
import { formatTolerance } from '../alignment/tolerance.ts';
import { buildLineIndex, type LineIndex } from '../text/lineIndex.ts';
import { rateLabel } from '../time/rate.ts';
import { type CheckedFile, type ReportedFinding, SEVERITIES, type ShownSeverity, textOfFile } from './checkedFile.ts';
import { regionOf } from './regions.ts';
import { visibleText } from './visibleText.ts';

export interface JunitRun {
  /** The least severity that fails. */
  readonly failOn: ShownSeverity;
  /** When the run began: `2026-01-31T10:00:00`, UTC without a zone, as Ant's schema has it. */
  readonly startedAt: string;
  /** What kept the program from doing its job, a sentence each. */
  readonly problems: readonly string[];
}

/** What the document holds about one file. Made as soon as the file is checked, so that its timeline need not be kept. */
export interface JunitFile {
  readonly path: string;
  readonly properties: readonly (readonly [name: string, value: string])[];
  readonly cases: readonly {
    readonly name: string;
    readonly severity: ShownSeverity;
    readonly code: string;
    readonly text: string;
  }[];
}

export function junitFile(file: CheckedFile): JunitFile {
  const index = buildLineIndex(textOfFile(file));
  return {
    path: file.path,
    properties: propertiesOf(file),
    cases: file.findings.map((reported) => caseOf(file, reported, index)),
  };
}

/** The whole document. */
export function renderJunit(files: readonly JunitFile[], run: JunitRun): string {
  const suites = [...files.map((file) => suiteOf(file, run.failOn)), ...problemSuites(run.problems)];
  const testsuite = suites.map(({ name, properties, cases, output }, id) => ({
    $: {
      name,
      package: 'afterclap',
      id,
      // The core has no clock, and a check takes no time that anybody would act on.
      time: '0',
      timestamp: run.startedAt,
      hostname: 'localhost',
      tests: cases.length,
      failures: cases.filter((one) => 'failure' in one).length,
      errors: cases.filter((one) => 'error' in one).length,
    },
    properties: { property: properties.map(([key, value]) => ({ $: { name: key, value: printable(value) } })) },
    testcase: cases,
    'system-out': output,
    'system-err': '',
  }));
  const writer = new builder.Builder({
    xmldec: { version: '1.0', encoding: 'UTF-8' },
    renderOpts: { pretty: true, indent: '  ', newline: '\n' },
  });
  return `${writer.buildObject({ testsuites: { testsuite } })}\n`;
}

interface Suite {
  readonly name: string;
  readonly properties: JunitFile['properties'];
  readonly cases: readonly object[];
  readonly output: string;
}

function suiteOf({ path, properties, cases }: JunitFile, failOn: ShownSeverity): Suite {
  const failing = SEVERITIES.slice(0, SEVERITIES.indexOf(failOn) + 1);
  const classname = printable(path);
  const written = cases.map(({ name, severity, code, text }) => ({
    $: { name: printable(name), classname, time: '0' },
    ...(failing.includes(severity)
      ? { failure: { $: { type: code, message: printable(firstSentence(text)) }, _: lines(text) } }
      : {}),
  }));
  const passed = cases.filter(({ severity }) => !failing.includes(severity)).map(({ text }) => lines(text));
  return {
    name: classname,
    properties,
    cases: written.length > 0 ? written : [{ $: { name: 'nothing found', classname, time: '0' } }],
    output: passed.join('\n'),
  };
}

function problemSuites(problems: readonly string[]): readonly Suite[] {
  if (problems.length === 0) return [];
  const cases = problems.map((problem) => ({
    $: { name: printable(problem), classname: 'afterclap', time: '0' },
    error: { $: { type: 'not-checked', message: printable(problem) }, _: printable(problem) },
  }));
  return [{ name: 'files that could not be checked', properties: [['problems', String(problems.length)]], cases, output: '' }];
}

function propertiesOf(file: CheckedFile): JunitFile['properties'] {
  if (file.kind === 'side') return [['format', file.format]];
  const { timeline, input } = file.audit;
  return [
    ['format', timeline.format],
    ['rate', `${rateLabel(timeline.rate)}: ${timeline.rateReason}`],
    ['report', file.reportReason],
    ['tolerance', formatTolerance(input.settings.tolerance)],
    ['compared', String(file.audit.comparisons.length)],
  ];
}

function caseOf(file: CheckedFile, { finding }: ReportedFinding, index: LineIndex): JunitFile['cases'][number] {
  const { startLine, startColumn } = regionOf(index, finding.place.span);
  const clip = file.kind === 'timeline' ? file.audit.timeline.clips[finding.clips[0] ?? -1] : undefined;
  const name = clip === undefined || clip.name === '' ? '' : ` '${clip.name}'`;
  return {
    name: `${finding.code}${name} at line ${startLine}, column ${startColumn}`,
    severity: finding.severity,
    code: finding.code,
    text: `${finding.message}\n${file.path}:${startLine}:${startColumn}: ${finding.severity} ${finding.code}`,
  };
}

function firstSentence(text: string): string {
  return /^.*?\.(?=\s|$)/s.exec(text)?.[0] ?? text;
}

function lines(text: string): string {
  return text.split('\n').map(printable).join('\n');
}

/** XML 1.0 (clause 2.2) holds no control characters and neither U+FFFE nor U+FFFF, not even escaped. */
function printable(text: string): string {
  return visibleText(text).replace(/[\ufffe\uffff]/g, '\ufffd');
}
