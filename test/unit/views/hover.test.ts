/**
 * What the hover says about the clips of a small cut. The cut is in test/fixtures/editor: one camera at 24000/1001, one
 * recorder at 48 kHz, 2002 samples to a frame (48000 x 1001 / 24000, SMPTE ST 12-1 rate), both started at the same instant.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { defaultSettings } from '../../../server/src/core/alignment/readSettings.ts';
import { audit } from '../../../server/src/core/audit.ts';
import type { FormatId } from '../../../server/src/core/timeline/model.ts';
import { hoverAt } from '../../../server/src/core/views/hover.ts';
import { type Page, pageAsText } from '../../../server/src/core/views/page.ts';
import { reportHoverAt } from '../../../server/src/core/views/reportHover.ts';

const folder = join(import.meta.dirname, '..', '..', 'fixtures', 'editor');
const read = (name: string): string => readFileSync(join(folder, name), 'utf8');
const reportText = read('day1.alignment.json');
const report = readReport('day1.alignment.json', reportText);
const REASON = 'day1.alignment.json is used.';

/** The page under the first place where `mark` stands in the text. */
function pageAt(format: FormatId, text: string, mark: string, reports = [report]): Page | null {
  const result = audit({ format, text, reports, settings: defaultSettings });
  return hoverAt(result, text.indexOf(mark), REASON)?.page ?? null;
}

function headlineOf(page: Page | null): string {
  const [first] = page ?? [];
  return first?.kind === 'headline' ? first.text : 'no headline';
}

describe('a sound clip that leads by one frame', () => {
  it('says so first, then the proof, then the clip', () => {
    const page = pageAt('otio', read('interview.otio'), 'Interview, question (sound)');
    expect(pageAsText(page ?? []).split('\n')).toEqual([
      'deck-01 leads cam-a-01 by 1 frame (41.7 ms, 2002 samples). Likely cause: cut 1 whole frame too early at 23.976.',
      '',
      'At cam-a-01 frame 240  expected         found',
      'deck-01 is at          sample 480480    sample 482482',
      'that is                10.010 s         10.052 s',
      'recorder started       with the camera  41.7 ms before the camera',
      '',
      'Interview, question (sound)  in           out          length      rate',
      'source                       00:00:10:01  00:00:15:01  120 frames  23.976 (24000/1001)',
      'in its file                  10.052 s     15.057 s     5.005 s     48 kHz',
      'record                       01:00:00:00  01:00:05:00  120 frames  23.976 (24000/1001)',
      'on the timeline              0.000 s      5.005 s      5.005 s',
      '',
      'day1.alignment.json is used. cam-a-01 and deck-01 are paired by clap 1, true to 5 ms either way (slate in view, edge clean).',
      '',
      'Allowed: sound leads by up to 1 ms, lags by up to 41.7 ms.',
    ]);
  });

  it.each([
    ['edl', 'interview.edl', '002  DECK0001'],
    ['xml', 'interview.timeline.xml', 'Interview, question (sound)'],
  ] as const)('is told alike in %s', (format, file, mark) => {
    expect(headlineOf(pageAt(format, read(file), mark))).toBe('deck-01 leads cam-a-01 by 1 frame (41.7 ms, 2002 samples).');
  });

  it('is told on the picture too', () => {
    expect(headlineOf(pageAt('otio', read('interview.otio'), '"Interview, question"'))).toContain('deck-01 leads cam-a-01');
  });

  it('takes the number under the pointer for its place', () => {
    const text = read('interview.edl');
    const offset = text.indexOf('00:00:10:01');
    const result = audit({ format: 'edl', text, reports: [report], settings: defaultSettings });
    expect(hoverAt(result, offset + 3, REASON)?.span).toEqual({ start: offset, end: offset + 11 });
  });
});

describe('a clip that is right', () => {
  it('says so', () => {
    expect(headlineOf(pageAt('otio', read('interview.otio'), 'Interview, answer (sound)'))).toBe(
      'In sync: deck-01 meets cam-a-01 exactly where the report says.',
    );
  });

  it('says by how much it lags where that is allowed', () => {
    // Half a frame late: 600 frames x 2002 samples, less 1001.
    const text = read('interview.timeline.xml').replace(`>${600 * 2002}<`, `>${600 * 2002 - 1001}<`);
    expect(headlineOf(pageAt('xml', text, 'Interview, answer (sound)'))).toBe(
      'In sync: deck-01 lags cam-a-01 by 0.5 frames (20.9 ms, 1001 samples), which is allowed.',
    );
  });
});

describe('a clip with nothing to compare', () => {
  const edl = read('interview.edl');

  it('names the reason: no report', () => {
    expect(headlineOf(pageAt('edl', edl, '002  DECK0001', []))).toMatch(/can't be checked: there is no alignment report\.$/);
  });

  it('names the reason: a report of which nothing can be read', () => {
    const unread = readReport('day1.alignment.json', 'day 1: the clap is at frame 132');
    expect(headlineOf(pageAt('edl', edl, '002  DECK0001', [unread]))).toMatch(
      /can't be checked: nothing can be read of the alignment report\.$/,
    );
  });

  it('names the reason: not in the report', () => {
    const text = edl.replaceAll('DECK0001', 'RADIO009').replaceAll('CAMA0001', 'CAMX0009');
    expect(headlineOf(pageAt('edl', text, '002  RADIO009'))).toMatch(/is in no alignment report/);
  });

  it('names the reason: its partner is elsewhere', () => {
    const alone = edl
      .split('\n')
      .filter((line) => !line.includes('DECK0001'))
      .join('\n');
    expect(headlineOf(pageAt('edl', alone, '001  CAMA0001'))).toBe(
      'No sound of its pair (deck-01) stands at the same record time as cam-a-01.',
    );
  });

  it('is nothing at all between clips', () => {
    expect(pageAt('edl', edl, 'TITLE')).toBeNull();
  });
});

describe('a clock that drifts', () => {
  it('is told at both ends', () => {
    // 50,000 ppm: absurd, and enough to cross a frame within five seconds.
    const drifting = readReport('day1.alignment.json', reportText.replace('"by": "clap"', '"driftPpm": 50000, "by": "clap"'));
    const page = pageAt('otio', read('interview.otio'), 'Interview, answer (sound)', [drifting]);
    expect(pageAsText(page ?? [])).toMatch(/head +lags [\d.]+ m?s .*\ntail +lags [\d.]+ m?s/);
  });
});

describe('the report itself', () => {
  const textAt = (mark: string): readonly string[] => {
    const hover = reportHoverAt(report, reportText.indexOf(mark));
    return hover === null ? [] : pageAsText(hover.page).split('\n');
  };

  it('says what a pair means', () => {
    expect(textAt('"at"')).toEqual([
      'deck-01 was started with the camera, cam-a-01.',
      '',
      '              cam-a-01     deck-01',
      'at            frame 132    sample 264264',
      'in its file   5.506 s      5.506 s',
      'by its stamp  14:03:25:12',
      '',
      'cam-a-01 and deck-01 are paired by clap 1, true to 5 ms either way (slate in view, edge clean).',
    ]);
  });

  it('says what a picture and a sound are', () => {
    expect(textAt('"cam-a-01"')).toEqual([
      'cam-a-01 is a picture file. Paired with deck-01.',
      '',
      'stamp   14:03:20:00          14:06:20:00',
      'length  4320 frames          3:00.180',
      'rate    23.976 (24000/1001)',
    ]);
    expect(textAt('"deck-01"')).toEqual([
      'deck-01 is a sound recording. Paired with cam-a-01.',
      '',
      'length  8648640 samples  3:00.180',
      'rate    48 kHz',
      'clap 1  sample 264264    5.506 s',
    ]);
  });

  it('is silent elsewhere', () => {
    expect(reportHoverAt(report, 0)).toBeNull();
  });
});
