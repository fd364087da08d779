/**
 * What a person does at the desk, and what comes of it: pure, without a page.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Wanted } from '../../../client/src/desk/deskMessages.ts';
import { deskAction, KEY_LIST } from '../../../client/src/desk/page/deskKeys.ts';
import { frameAt, frameGrid, framesToShow, sampleAt, seenFrames, xOf } from '../../../client/src/desk/page/deskLayout.ts';
import {
  changeOf,
  chosenClap,
  clapSampleIn,
  clapsOf,
  contactOf,
  type DeskState,
  EMPTY_STATE,
  gridOf,
  isChanged,
  pickedFrame,
  rememberedChoice,
  stepFrame,
  withAnswer,
  withClap,
  withEdgeAt,
  withEdgeMoved,
  withFrame,
  withNudge,
  withoutChoice,
  withReading,
  withRemembered,
} from '../../../client/src/desk/page/deskState.ts';
import { moved, showing, viewAround, wholeView, zoomed } from '../../../client/src/desk/page/deskView.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { formatRational, rational, ZERO } from '../../../server/src/core/time/rational.ts';
import { deskReport } from '../../../server/src/core/views/clapDesk.ts';
import type { DeskAnswer, DeskChange } from '../../../server/src/lsp/clapDeskMessages.ts';
import { CLAP, REPORT, REPORT_NAME, SAMPLES_PER_FRAME, SECOND_CLAP } from './scene.ts';

const ANYTHING: Wanted = { pair: null, picture: null, sound: null };

function answerTo(text: string, version = 1): DeskAnswer {
  return { uri: 'file:///day3', version, report: deskReport(readReport(REPORT_NAME, text)), pairAtCaret: null };
}

const HEARD = [
  { sample: CLAP + 5, uncertainty: 2, channel: 0, isClap: true, reason: 'One sharp sound.' },
  { sample: CLAP + 90_000, uncertainty: 9, channel: 0, isClap: false, reason: 'Refused: a step.' },
  { sample: SECOND_CLAP, uncertainty: 2, channel: 0, isClap: true, reason: 'One sharp sound.' },
];

function desk(text = REPORT, wanted = ANYTHING): DeskState {
  const facts = { sampleRate: 48000, sampleCount: 768_000, channelCount: 1 };
  return { ...withAnswer(EMPTY_STATE, answerTo(text), wanted), recording: { file: 'file:///deck', facts }, heard: HEARD };
}

function change(state: DeskState): DeskChange {
  const result = changeOf(state);
  if ('why' in result) throw new Error(result.why);
  return result.change;
}

describe('a pair of the report', () => {
  it('is shown as it stands, and there is nothing to write', () => {
    expect(changeOf(desk())).toEqual({ why: 'Nothing was changed: this is what the report says.' });
    expect(isChanged(desk())).toBe(false);
  });

  it('is picked by its index, by its picture or by its sound; a picture without a pair has none', () => {
    expect(desk(REPORT, { ...ANYTHING, sound: 'deck-20' }).subject?.pairIndex).toBe(0);
    const unpaired = desk(REPORT, { ...ANYTHING, picture: 'cam-b-20', sound: 'deck-20' });
    expect(unpaired.subject).toMatchObject({ pairIndex: null, picture: { key: 'cam-b-20' }, sound: { key: 'deck-20' } });
  });

  it('is written with the frame that was picked: its note, its clap and its drift are left alone', () => {
    expect(change(stepFrame(stepFrame(desk(), -1), -1))).toEqual({
      pair: 0,
      picture: 'cam-a-20',
      sound: 'deck-20',
      frame: '56',
      sample: String(CLAP),
      early: '1/48000',
      // A frame, and a sample of doubt about the edge of which the report tells no more.
      late: '2003/48000',
      by: 'clap',
      clap: 1,
    });
  });

  it('takes the clap that was chosen, with its number', () => {
    const second = clapsOf(desk()).find(({ number }) => number === 2);
    if (second === undefined) throw new Error('there is no second clap');
    const state = withClap(desk(), second);
    expect(change(state)).toMatchObject({ sample: String(SECOND_CLAP), clap: 2, frame: '58', by: 'eye' });
    expect(chosenClap(state)).toEqual(second);
  });

  it('loses its number with an edge that is in no list, and is by eye then', () => {
    const state = withFrame(withEdgeAt(desk(), 200_000.4, 12), rational(60));
    expect(change(state)).toMatchObject({ sample: '200000', clap: null, frame: '60', by: 'eye', early: '1/4000' });
  });

  it('goes back to what the report says', () => {
    const state = withNudge(withEdgeMoved(stepFrame(desk(), 3), 4), rational(3, 10));
    expect(withoutChoice(state).choice).toEqual(desk().choice);
  });
});

describe('a pair by waveform', () => {
  // Frame 0 is heard 43200 samples into the recording: the camera started 0.9 s after it.
  const text = REPORT.replace(`"frame": 58, "sample": ${CLAP}`, '"frame": 0, "sample": 43200')
    .replace('"by": "eye", "clap": 1', '"by": "waveform"')
    .replace('"driftPpm": 0', '"driftPpm": 12');

  it('is looked at around the first clap, on the frame where the match has it', () => {
    expect(formatRational(clapSampleIn(desk(text)) ?? ZERO)).toBe(String(CLAP + 5));
    // (153605 - 43200) / 2002 is frame 55.15.
    expect(contactOf(desk(text))?.from).toBeCloseTo(55.15 - (0.0209 * 24_000) / 1001, 1);
    expect(formatRational(pickedFrame(desk(text)) ?? ZERO)).toBe('55');
  });

  it('is changed by a frame and a clap together, never by one of them alone', () => {
    const seen = stepFrame(desk(text), 1);
    expect(changeOf(seen)).toEqual({ why: 'Now pick the clap in the recording, or put its edge by hand.' });
    const [first] = clapsOf(seen);
    if (first === undefined) throw new Error('no clap');
    expect(changeOf(withClap(desk(text), first))).toEqual({ why: 'First pick the frame in which the hands meet.' });
    expect(change(withClap(seen, first))).toMatchObject({ frame: '56', sample: String(CLAP + 5), by: 'clap', clap: 1 });
  });

  it('can be nudged as it stands, by frames and by samples', () => {
    expect(change(withEdgeMoved(withNudge(desk(text), rational(1, 10)), -3))).toMatchObject({
      frame: '1/10',
      sample: '43197',
      by: 'eye',
      clap: null,
    });
  });
});

describe('a picture without a pair', () => {
  const fresh = desk(REPORT, { ...ANYTHING, picture: 'cam-b-20', sound: 'deck-20' });

  it('has its frames drawn by a guess that can not be written', () => {
    expect(gridOf(fresh)).toMatchObject({ isGuess: true, frame: ZERO });
    expect(changeOf(fresh)).toEqual({ why: 'First pick the frame in which the hands meet.' });
    expect(changeOf(withFrame(fresh, rational(12)))).toEqual({
      why: 'Now pick the clap in the recording, or put its edge by hand.',
    });
    expect(withNudge(fresh, rational(1, 10))).toBe(fresh);
  });

  it('is added once frame and edge are picked', () => {
    const [first] = clapsOf(fresh);
    if (first === undefined) throw new Error('no clap');
    expect(change(withClap(withFrame(fresh, rational(12)), first))).toMatchObject({
      pair: null,
      picture: 'cam-b-20',
      frame: '12',
      clap: 1,
    });
  });

  it('is guessed by the time stamps where both files have one', () => {
    // Camera at 01:00:00:00, 3603.6 s at 24000/1001; the recorder started ten seconds before.
    const text = `{ "alignment": 1, "pictures": { "a": { "rate": "24000/1001", "start": "01:00:00:00" } },
      "sounds": { "s": { "sampleRate": 48000, "startSample": ${(36036 - 100) * 4800}, "claps": [${48_000 * 15}] } }, "pairs": [] }`;
    // Five seconds in: frame 119.88, the nearest is 120.
    expect(formatRational(gridOf({ ...desk(text), heard: [] })?.frame ?? ZERO)).toBe('120');
  });
});

describe('frames', () => {
  it('stay inside the file', () => {
    expect(change(withFrame(desk(), rational(-3))).frame).toBe('0');
    expect(change(withFrame(desk(), rational(100_000))).frame).toBe('143');
  });

  it('mean what the person says they show', () => {
    const state = withFrame(desk(), rational(56));
    expect(change(withReading(state, 'contact', null)).frame).toBe('57');
    expect(change(withReading(state, 'blur', rational(180))).frame).toBe('113/2');
    expect(contactOf(withReading(state, 'contact', null))?.from).toBeCloseTo(56, 2);
  });
});

describe('the edge', () => {
  it('never leaves the recording', () => {
    const first = withEdgeAt(desk(), -50, 1);
    expect(change(first).sample).toBe('0');
    expect(withEdgeMoved(first, -1)).toBe(first);
    const last = withEdgeAt(desk(), 10_000_000, 1);
    expect(change(last).sample).toBe('767999');
    expect(withEdgeMoved(last, 1)).toBe(last);
  });
});

describe('claps', () => {
  it('that were heard and are listed are one, with the number of the list; listed ones nobody heard stay', () => {
    expect(clapsOf(desk()).map(({ sample, number, isClap }) => [formatRational(sample), number, isClap])).toEqual([
      [String(CLAP + 5), 1, true],
      [String(CLAP + 90_000), null, false],
      [String(SECOND_CLAP), 2, true],
    ]);
    const deaf = { ...desk(), heard: [] };
    expect(clapsOf(deaf).map(({ reason }) => reason)).toEqual(['Listed in the report.', 'Listed in the report.']);
  });

  it('keep the parts of a sample that the report tells, within the doubt', () => {
    const finer = desk(REPORT.replace(`${SECOND_CLAP}]`, `${SECOND_CLAP}.25]`));
    expect(formatRational(clapsOf(finer)[2]?.sample ?? ZERO)).toBe(`${4 * SECOND_CLAP + 1}/4`);
  });
});

describe('another version of the report', () => {
  it('leaves what was chosen, on the pair as it stands now', () => {
    const before = stepFrame(desk(), -2);
    const after = withAnswer(before, answerTo(REPORT.replace('"frame": 58', '"frame": 90'), 2), null);
    expect(change(after).frame).toBe('56');
    expect(withoutChoice(after).choice.standing?.frame).toEqual(rational(90));
  });

  it('finds the pair that was just added, and keeps what was said about it', () => {
    const fresh = { ...desk(REPORT, { ...ANYTHING, picture: 'cam-b-20', sound: 'deck-20' }), written: 'Written.' };
    const text = REPORT.replace(
      '"pairs": [',
      '"pairs": [ { "picture": "cam-b-20", "sound": "deck-20", "at": { "frame": 1, "sample": 2 } },',
    );
    const after = withAnswer(fresh, answerTo(text, 2), null);
    expect([after.subject?.pairIndex, after.written]).toEqual([0, 'Written.']);
  });
});

describe('what is remembered', () => {
  it('comes back exactly', () => {
    const state = withNudge(withEdgeMoved(withEdgeAt(stepFrame(desk(), -2), 150_000, 3), -7), rational(-3, 10));
    const kept = JSON.parse(JSON.stringify(rememberedChoice(state)));
    expect(change(withRemembered(desk(), kept))).toEqual(change(state));
  });
});

describe('the view', () => {
  const count = 345_600_000;
  const views = fc
    .tuple(fc.double({ min: 0, max: count, noNaN: true }), fc.double({ min: 0.001, max: 600, noNaN: true }))
    .map(([sample, seconds]) => viewAround(sample, seconds, 48_000, count));

  it('zooms around a place that stays where it is, within single samples and the whole', () => {
    fc.assert(
      fc.property(views, fc.double({ min: 0.05, max: 20, noNaN: true }), (view, factor) => {
        const next = zoomed(view, factor, 0.5, count);
        const width = next.end - next.start;
        return width >= 39.9 && width <= count + 1 && next.start >= -width / 2 - 1 && next.end <= count + width / 2 + 1;
      }),
    );
  });

  it('goes back to where it was, and shows what it is asked to', () => {
    const view = viewAround(count / 2, 1, 48_000, count);
    expect(moved(moved(view, 0.5, count), -0.5, count).start).toBeCloseTo(view.start, 6);
    expect(showing(view, count / 2 + 1000, count)).toBe(view);
    const far = showing(view, 1_000_000, count);
    expect(far.start < 1_000_000 && far.end > 1_000_000).toBe(true);
    expect(zoomed(wholeView(count), 4, 0.5, count)).toEqual(wholeView(count));
  });
});

describe('the frames on the canvas', () => {
  const grid = frameGrid({ frame: rational(56), sample: rational(CLAP) }, rational(24000, 1001), rational(48000), ZERO);
  const view = { start: CLAP - 8008, end: CLAP + 12_012 };

  it('are 2002 samples wide, and a click in one is that frame, from its first pixel to its last', () => {
    expect(grid.samplesPerFrame).toBeCloseTo(SAMPLES_PER_FRAME, 9);
    // Ten frames across a thousand pixels.
    expect(frameAt(400, grid, view, 1000)).toBe(56);
    expect(frameAt(499, grid, view, 1000)).toBe(56);
    expect(frameAt(399, grid, view, 1000)).toBe(55);
    expect(sampleAt(xOf(CLAP, view, 1000), view, 1000)).toBeCloseTo(CLAP, 6);
  });

  it('are shown one by one where there is room, else every so many, and none that is not in the file', () => {
    expect(framesToShow(seenFrames(grid, view, 1000, true), 59)).toEqual([52, 53, 54, 55, 56, 57, 58]);
    const wide = { start: 0, end: 20_020_000 };
    const seen = seenFrames(grid, wide, 1000, true);
    expect(seen.pictureStep).toBeGreaterThan(500);
    expect(framesToShow(seen, null).length).toBeLessThan(48);
  });
});

describe('the keys', () => {
  const press = (key: string, other: object = {}) =>
    deskAction({ key, code: '', shiftKey: false, altKey: false, ctrlKey: false, metaKey: false, ...other });

  it.each([
    ['ArrowLeft', {}, { kind: 'frame', frames: -1 }],
    ['ArrowRight', { shiftKey: true }, { kind: 'nudge', tenths: 1 }],
    ['ArrowUp', {}, { kind: 'edge', samples: 1 }],
    ['ArrowDown', { shiftKey: true }, { kind: 'edge', samples: -10 }],
    ['=', { code: 'Digit0', shiftKey: true }, { kind: 'whole' }],
    ['N', { shiftKey: true }, { kind: 'clap', step: 1 }],
    [' ', {}, { kind: 'play' }],
    ['Enter', {}, { kind: 'write' }],
  ])('%s %o', (key, other, action) => {
    expect(press(key, other)).toEqual(action);
  });

  it("leave the editor's own alone", () => {
    for (const other of [{ ctrlKey: true }, { metaKey: true }, { altKey: true }]) expect(press('ArrowLeft', other)).toBeNull();
    expect(press('Tab')).toBeNull();
  });

  it('are listed, and each is listed once', () => {
    const names = KEY_LIST.map(([keys]) => keys);
    expect(new Set(names).size).toBe(names.length);
  });
});
