/**
 * The causes a finding names. Each is a mistake that is made in practice, and its numbers follow from the mistake, not from
 * the code: the source stands beside each.
 */

import { describe, expect, it } from 'vitest';
import { auditText } from '../../support/auditText.ts';
import { writeOtio } from '../../support/cut.ts';
import type { TestReport } from '../../support/report.ts';
import { cameraReport, cutOf, STAMP, shot } from './fixtures.ts';

const FRAME_IN_FILE = STAMP + 2000;

function causeOf(soundFrames: number, report: TestReport = cameraReport, pictureFrames = FRAME_IN_FILE): string | null {
  const cut = cutOf(
    shot('V1', 'CAM_A_0001.mov', { sourceIn: pictureFrames }),
    shot('A1', 'DECK_0001.wav', { sourceIn: soundFrames }),
  );
  const result = auditText('otio', writeOtio(cut), report);
  const found = result.findings.filter(({ code }) => /^sound-(leads|lags|drifts)$/.test(code));
  expect(found).toHaveLength(1);
  return found[0]?.cause ?? null;
}

describe('a known cause', () => {
  it('is a whole number of frames, since editors move by frames (common practice)', () => {
    expect(causeOf(FRAME_IN_FILE + 1)).toContain('1 whole frame too early at 23.976');
    expect(causeOf(FRAME_IN_FILE - 3)).toContain('3 whole frames too late at 23.976');
  });

  it('is another clap of the same recording: claps 100 frames apart put the sound 100 frames off', () => {
    expect(causeOf(FRAME_IN_FILE + 100)).toContain('aligned on clap 2 of deck-1 instead of clap 1');
  });

  it('is a time stamp read at 24 instead of 23.976: 3.6 s per hour (arithmetic), 50.45 s at 14 hours', () => {
    // 14 h of labels last 50450.4 s; a thousandth of that is 50.4504 s, 1209.6 frames, cut as 1210.
    expect(causeOf(FRAME_IN_FILE - 1210)).toContain('a time stamp read at 24 instead of 23.976');
  });

  it('is sound counted from the start of its file instead of its stamp', () => {
    const stampFrames = 120;
    const report: TestReport = {
      ...cameraReport,
      pictures: { 'cam-a': { names: ['CAM_A_0001.mov'], rate: '24000/1001', start: '00:00:05:00', frames: 5000 } },
      sounds: {
        'deck-1': { names: ['DECK_0001.wav'], sampleRate: 48000, startSample: stampFrames * 2002, samples: 5000 * 2002 },
      },
      pairs: [{ picture: 'cam-a', sound: 'deck-1', frame: 100, sample: 200200 }],
    };
    expect(causeOf(1000, report, 1000 + stampFrames)).toContain('counted from the start of its file instead of its time stamp');
  });

  it('is a 0.1 % pull: the lag grows by a frame in a thousand (arithmetic)', () => {
    const report = {
      ...cameraReport,
      pairs: [{ picture: 'cam-a', sound: 'deck-1', frame: 1999, sample: 1999 * 2002, driftPpm: 1000 }],
    };
    const cut = cutOf(
      shot('V1', 'CAM_A_0001.mov', { sourceIn: FRAME_IN_FILE, length: 2500 }),
      shot('A1', 'DECK_0001.wav', { sourceIn: FRAME_IN_FILE, length: 2500 }),
    );
    const [finding] = auditText('otio', writeOtio(cut), report).findings;
    expect(finding?.code).toBe('sound-drifts');
    expect(finding?.cause).toContain('a 0.1 % pull');
  });

  it('is the air in front of a far microphone: 2.9 ms a metre (ISO 9613-1:1993, formula A.5)', () => {
    // 2.4 frames at 23.976 are 100.1 ms: 34.4 m of air. Nothing whole, no clap, no stamp near it.
    const sounds = { 'deck-1': { names: ['DECK_0001.wav'], sampleRate: 48000, startSample: STAMP * 2002, samples: 5000 * 2002 } };
    const report = { ...cameraReport, sounds, pairs: [{ picture: 'cam-a', sound: 'deck-1', frame: 100, sample: 200200 + 4805 }] };
    expect(causeOf(FRAME_IN_FILE, report)).toContain('34 m of air');
  });

  it('is one error on every clip of the recording: then the pair is the first thing to look at', () => {
    const at = (recordIn: number, source: number) => [
      shot('V1', 'CAM_A_0001.mov', { recordIn, sourceIn: source }),
      shot('A1', 'DECK_0001.wav', { recordIn, sourceIn: source - 3 }),
    ];
    const cut = cutOf(...at(0, FRAME_IN_FILE), ...at(240, FRAME_IN_FILE + 500), ...at(480, FRAME_IN_FILE + 1200));
    const { findings } = auditText('otio', writeOtio(cut), cameraReport);
    expect(findings).toHaveLength(3);
    for (const finding of findings) expect(finding.cause).toContain('the same error on all 3 clips of this recording');
  });

  it('is none when nothing known explains it, rather than a guess', () => {
    // A lead of 0.4 frames: no whole frame, no clap, no stamp; and air never makes sound early.
    const report = { ...cameraReport, pairs: [{ picture: 'cam-a', sound: 'deck-1', frame: 100, sample: 200200 - 801 }] };
    expect(causeOf(FRAME_IN_FILE, report)).toBeNull();
  });
});

describe('uncertainty', () => {
  const uncertain = (milliseconds: number): TestReport => ({
    ...cameraReport,
    pairs: [
      {
        picture: 'cam-a',
        sound: 'deck-1',
        frame: 100,
        sample: 200200,
        uncertaintyMs: { early: milliseconds, late: milliseconds },
      },
    ],
  });
  const severityOf = (report: TestReport): string | undefined => {
    const cut = cutOf(shot('V1', 'CAM_A_0001.mov'), shot('A1', 'DECK_0001.wav', { sourceIn: STAMP + 201 }));
    return auditText('otio', writeOtio(cut), report).findings.find(({ code }) => code === 'sound-leads')?.severity;
  };

  it('lowers a finding one step when it could explain all of it: one frame leads by 41.7 ms, 40.7 ms past the tolerance', () => {
    expect(severityOf(uncertain(20.9))).toBe('error');
    expect(severityOf(uncertain(40.7))).toBe('error');
    expect(severityOf(uncertain(40.8))).toBe('warning');
  });
});

describe('an overlap', () => {
  it('of a rounding error is none: a cut rescaled in doubles (59.999999999999993 for 60) compares nothing', () => {
    const cut = cutOf(shot('V1', 'CAM_A_0001.mov', { length: 60 }), shot('A1', 'DECK_0001.wav', { recordIn: 60, length: 60 }));
    const text = writeOtio(cut);
    const gap = text.lastIndexOf('"value": 60', text.lastIndexOf('DECK_0001'));
    const early = `${text.slice(0, gap)}"value": 59.999999999999993${text.slice(gap + '"value": 60'.length)}`;
    expect(auditText('otio', text, cameraReport).comparisons).toEqual([]);
    expect(auditText('otio', early, cameraReport).comparisons).toEqual([]);
  });
});
