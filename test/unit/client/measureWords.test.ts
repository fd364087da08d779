/**
 * What a person reads while recordings are measured and afterwards, and the names that a new report may have.
 */

import { describe, expect, test } from 'vitest';
import { type CommandRun, type MeasureSummary, messageOf, progressOf } from '../../../client/src/commandLine/commandLine.ts';
import { measureVerdict, progressText } from '../../../client/src/measure/measureWords.ts';
import { freeReportName, isReportName, reportNameProblem } from '../../../client/src/measure/reportNames.ts';
import { measuredEvent, measureProgress } from '../../../server/src/cli/measureProgress.ts';

const REPORT = 'day1.alignment.json';
const RUN: CommandRun = { exitCode: 0, output: '', messages: [] };
const SUMMARY: MeasureSummary = { pairs: 2, leftOver: [], report: REPORT };

describe('progress for programs', () => {
  function told(): { readonly lines: readonly string[]; readonly show: (at: number, share: number, step: string) => void } {
    const lines: string[] = [];
    let now = 0;
    const stream = { write: (text: string) => lines.push(text), isTerminal: false, columns: null };
    const progress = measureProgress(stream, () => now, 'json');
    return {
      lines,
      show: (at, share, step) => {
        now = at;
        progress.show({ share, step });
      },
    };
  }

  test('comes an object a line, and the editor reads what the command writes', () => {
    const { lines, show } = told();
    show(10_000, 0.25, 'finding claps in DECK.wav');
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatch(/^\{.*\}\n$/);
    const event = progressOf((lines[0] as string).trim());
    expect(event).toEqual({ share: 0.25, step: 'finding claps in DECK.wav', timeLeft: 'about 30 s left', done: null });
    expect(event === null ? '' : progressText(event)).toBe('25 %, about 30 s left: finding claps in DECK.wav');
  });

  test('comes at most five times a second, but every step is told', () => {
    const { lines, show } = told();
    for (let at = 0; at < 1000; at += 10) show(at, at / 2000, 'one');
    expect(lines).toHaveLength(5);
    show(1000, 0.5, 'two');
    expect(lines.at(-1)).toContain('two');
  });

  test('ends with what came of it', () => {
    const leftOver = [{ severity: 'error', kind: 'picture', name: 'cam', reason: 'No match.' }];
    const measurement = { sounds: [], pictures: [], pairs: [], leftOver, failures: [] } as never;
    expect(progressOf(measuredEvent(measurement, REPORT).trim())?.done).toEqual({
      pairs: 0,
      leftOver: [{ severity: 'error', name: 'cam', reason: 'No match.' }],
      report: REPORT,
    });
  });

  test.each(['', 'afterclap: no', '{', '{}', '{"share":"1","step":"x"}', '[0.5]'])('%j is none', (line) => {
    expect(progressOf(line)).toBeNull();
  });

  test('a message loses the name of the program and nothing else', () => {
    expect(messageOf('afterclap: day1.wav is not a WAV file')).toBe('day1.wav is not a WAV file');
    expect(messageOf('(node:1) Warning: afterclap: x')).toBe('(node:1) Warning: afterclap: x');
    expect(messageOf('  ')).toBeNull();
  });
});

describe('the verdict', () => {
  const verdictOf = (run: Partial<CommandRun>, summary: Partial<MeasureSummary> | null): string => {
    const { severity, sentence } = measureVerdict(
      { ...RUN, ...run },
      summary === null ? null : { ...SUMMARY, ...summary },
      REPORT,
    );
    return `${severity}: ${sentence}`;
  };

  test('counts the pairs and asks for eye and ear', () => {
    expect(verdictOf({}, {})).toBe('information: 2 pairs in day1.alignment.json. Check the cut by eye and ear.');
    expect(verdictOf({}, { pairs: 1 })).toContain('1 pair in');
  });

  test('names what is left over first, with its reason', () => {
    const leftOver = [
      { severity: 'information', name: 'wild.wav', reason: 'Belongs to no picture.' },
      { severity: 'error', name: 'cam-c', reason: 'No match.' },
      { severity: 'warning', name: 'cam-d', reason: 'Two places fit.' },
    ];
    expect(verdictOf({ exitCode: 1 }, { leftOver })).toBe(
      'warning: 2 pairs in day1.alignment.json. Left over: cam-c. No match. And 1 more; the output tells all.',
    );
  });

  test('is an error in the words of the command when there is no report', () => {
    expect(verdictOf({ exitCode: 2, messages: ['this folder holds no recording: neither WAV nor a camera file'] }, null)).toBe(
      'error: The recordings could not be measured: this folder holds no recording: neither WAV nor a camera file.',
    );
    expect(verdictOf({ exitCode: null }, null)).toContain('exit code none');
  });

  test('is an error when the report could not be written, and when a file could not be read', () => {
    const full = { exitCode: 2, messages: ["can't write day1.alignment.json: no space left on the disk"] } as const;
    expect(verdictOf(full, { report: null })).toBe(
      "error: day1.alignment.json was not written. can't write day1.alignment.json: no space left on the disk.",
    );
    expect(verdictOf({ exitCode: 2, messages: ['letter.wav is not a WAV file'] }, {})).toBe(
      'error: 2 pairs in day1.alignment.json. letter.wav is not a WAV file.',
    );
  });
});

describe('the name of a new report', () => {
  test('follows the folder, and is free on disks that do not tell small letters from large', () => {
    expect(freeReportName('day1', [])).toBe('day1.alignment.json');
    expect(freeReportName('day1', ['Day1.Alignment.JSON', 'day1-2.alignment.json'])).toBe('day1-3.alignment.json');
    expect(freeReportName('', [])).toBe('recordings.alignment.json');
    expect(isReportName('DAY1.ALIGNMENT.JSON')).toBe(true);
  });

  test.each([
    ['../day1.alignment.json', 'not a path'],
    ['a\\b.alignment.json', 'not a path'],
    ['day1.json', 'ends in .alignment.json'],
    ['.alignment.json', 'ends in .alignment.json'],
    ['DAY1.alignment.json', 'exists'],
  ])('%j is refused: %s', (name, reason) => {
    expect(reportNameProblem(name, ['day1.alignment.json'])).toContain(reason);
  });

  test('any other is taken', () => {
    expect(reportNameProblem('day1 (second try).alignment.json', ['day1.alignment.json'])).toBeNull();
  });
});
