/**
 * What a person reads at a terminal, whole: the texts below were read by one before they became expectations.
 */

import { describe, expect, test } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { defaultSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit } from '../../../server/src/core/audit.ts';
import {
  type CheckedTimeline,
  checkedSideFile,
  checkedTimeline,
  countFindings,
} from '../../../server/src/core/report/checkedFile.ts';
import { plainPainter, terminalPainter } from '../../../server/src/core/report/painter.ts';
import { renderTextFile, renderTextTotals } from '../../../server/src/core/report/renderText.ts';
import { rational } from '../../../server/src/core/time/rational.ts';

const REPORT = `{
  "alignment": 1,
  "pictures": { "cam-a": { "names": ["CAM_A.mov"], "rate": 25 } },
  "sounds": { "deck": { "names": ["DECK.wav"], "sampleRate": 48000 } },
  "pairs": [{ "picture": "cam-a", "sound": "deck", "at": { "frame": 0, "sample": 0 } }]
}
`;

/** One picture with its sound at 25 frames per second, the sound starting at `soundIn`. */
function list(soundIn: string, soundOut: string, name = 'the yard'): string {
  return [
    'TITLE: one shot',
    '001  CAM      V     C        00:00:10:00 00:00:20:00 01:00:00:00 01:00:10:00',
    `* FROM CLIP NAME: ${name}`,
    '* SOURCE FILE: CAM_A.mov',
    `002  DECK     A     C        ${soundIn} ${soundOut} 01:00:00:00 01:00:10:00`,
    '* SOURCE FILE: DECK.wav',
    '',
  ].join('\n');
}

function checked(text: string, fixed: CheckedTimeline['fixed'] = []): CheckedTimeline {
  const result: Audit = audit({
    format: 'edl',
    text,
    reports: [readReport('day.alignment.json', REPORT)],
    settings: { ...defaultSettings, edlRate: rational(25) },
  });
  return checkedTimeline('cut.edl', result, { reportReason: 'day.alignment.json is used.', toleranceRemark: null, fixed });
}

const options = { width: 100, painter: plainPainter, otherTexts: new Map([['day.alignment.json', REPORT]]) };

describe('a timeline', () => {
  test('with a lead: place, words, excerpt, where it stands, what belongs to it, what can be done', () => {
    const lines = renderTextFile(checked(list('00:00:10:01', '00:00:20:01')), options).split('\n');
    expect(lines.slice(0, 3)).toEqual(['cut.edl (edit decision list)', '', 'cut.edl:5:30: error sound-leads']);
    expect(lines).toContain('  5 | 002  DECK     A     C        00:00:10:01 00:00:20:01 01:00:00:00 01:00:10:00');
    expect(lines).toContain('    |                              ^^^^^^^^^^^');
    expect(lines).toContain("  see   cut.edl:2:30: the picture: 'the yard' (cam-a)");
    expect(lines).toContain("  see   day.alignment.json:5:13: the report's pair of cam-a and deck");
    expect(lines.find((line) => line.startsWith('  clip'))).toMatch(/ on A1, 01:00:00:00 to 01:00:10:00$/);
    expect(lines.find((line) => line.startsWith('  fix'))).toMatch(/1 frame at 25 \(40 ms\) later\. With --fix\.$/);
  });

  test('says leads and lags, never a bare sign', () => {
    for (const [from, to] of [
      ['00:00:10:01', '00:00:20:01'],
      ['00:00:09:22', '00:00:19:22'],
    ] as const) {
      expect(renderTextFile(checked(list(from, to)), options)).not.toMatch(/[-+−]\d+(\.\d+)? ?(ms|s|frames?|samples?)\b/);
    }
  });

  test('where all is fine: only the summary', () => {
    expect(renderTextFile(checked(list('00:00:10:00', '00:00:20:00')), options)).toBe(
      `cut.edl (edit decision list)

  report     day.alignment.json is used.
  rate       25 frames per second: edlRate in afterclap.json
  tolerance  lead 1ms, lag 1f (40 ms here)
  compared   1 picture with sound: 1 in
  findings   none
`,
    );
  });

  test('where nothing was compared: says so, since silence would pass for in sync', () => {
    const text = renderTextFile(checked('TITLE: mute\n001  CAM V C 00:00:10:00 00:00:20:00 01:00:00:00 01:00:10:00\n'), options);
    expect(text).toContain('compared   no picture with a sound of its pair');
    expect(text).toContain('so no offset was checked');
  });

  test('that was fixed: what, and the word of caution', () => {
    const fix = { title: 'Slip something', isSafe: true, isPreferred: true, changes: [] };
    expect(renderTextFile(checked(list('00:00:10:00', '00:00:20:00'), [fix]), options)).toContain(
      '  fixed Slip something\n        Written into the file. Keep the version from before, and check the cut by eye and ear.\n',
    );
  });

  test('with names that try to command the terminal: they are shown, not obeyed', () => {
    const text = renderTextFile(checked(list('00:00:10:01', '00:00:20:01', 'evil\u001b[2J\u202ename')), options);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: that none is left is the point
    expect(text).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202e]/);
    expect(text).toContain('evil␛[2J\ufffdname');
  });

  test('keeps to the width, words whole', () => {
    const text = renderTextFile(checked(list('00:00:10:01', '00:00:20:01')), { ...options, width: 60 });
    for (const line of text.split('\n')) expect(line.length, line).toBeLessThanOrEqual(60);
  });
});

describe('a report or settings file', () => {
  test('is shown alike, with its findings on its own characters', () => {
    const report = readReport('day.alignment.json', REPORT.replace('"sampleRate": 48000', '"sampleRate": -1'));
    const [problem] = report.problems;
    expect(problem).toBeDefined();
    const file = checkedSideFile('alignment', report.file, report.text, [
      {
        code: 'report-invalid',
        severity: 'error',
        message: problem?.message ?? '',
        place: { file: report.file, span: problem?.span ?? { start: 0, end: 0 } },
        related: [],
        picture: null,
        sound: null,
        lag: null,
        cause: null,
        clips: [],
      },
    ]);
    const text = renderTextFile(file, options);
    expect(text).toContain('day.alignment.json (alignment report)\n\nday.alignment.json:4:62: error report-invalid\n');
    expect(text).toContain('  findings   1 error; none fixable with --fix\n');
  });
});

describe('colour', () => {
  test('repeats what the words say and changes nothing else', () => {
    const file = checked(list('00:00:10:01', '00:00:20:01'));
    const coloured = renderTextFile(file, { ...options, painter: terminalPainter });
    expect(coloured).toContain('\u001b[31merror\u001b[39m');
    // biome-ignore lint/suspicious/noControlCharactersInRegex: the escape sequences are what is taken out
    expect(coloured.replaceAll(/\u001b\[\d+m/g, '')).toBe(renderTextFile(file, options));
  });
});

describe('the last line of a run', () => {
  test('counts over all files', () => {
    const counts = countFindings(checked(list('00:00:10:01', '00:00:20:01')));
    expect(renderTextTotals(4, counts, plainPainter)).toBe('4 files: 1 error; 1 fixable with --fix\n');
  });
});
