import { describe, expect, it } from 'vitest';
import { originOf } from '../../../server/src/core/alignment/origin.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { add, divide, formatRational, multiply, type Rational, rational } from '../../../server/src/core/time/rational.ts';
import { type ClipWords, clipWith } from './clips.ts';

const FILM = rational(24000, 1001);

/** `frames` at 24000/1001 in seconds. */
const film = (frames: number): Rational => divide(rational(frames), FILM);
const clock = (hours: number, minutes = 0, seconds = 0, frame = 0): number =>
  ((hours * 60 + minutes) * 60 + seconds) * 24 + frame;

function pictureMatch(entry: object): Parameters<typeof originOf>[1] {
  const report = readReport(
    'r',
    JSON.stringify({ alignment: 1, pictures: { a: { rate: '24000/1001', ...entry } }, sounds: {}, pairs: [] }),
  );
  return { picture: report.pictures[0] ?? null, sound: null };
}

function soundMatch(entry: object): Parameters<typeof originOf>[1] {
  const report = readReport(
    'r',
    JSON.stringify({ alignment: 1, pictures: {}, sounds: { a: { sampleRate: 48000, ...entry } }, pairs: [] }),
  );
  return { picture: null, sound: report.sounds[0] ?? null };
}

const NO_MATCH = { picture: null, sound: null };
const TEN = { start: '10:00:00:00', frames: 1000 };

function summary(words: ClipWords, match: Parameters<typeof originOf>[1]): string {
  const origin = originOf(clipWith(words), match);
  return `${origin.from} ${formatRational(origin.seconds)} ${origin.fits ? 'fits' : 'does not fit'}`;
}

describe('the origin of source time', () => {
  it('is what the timeline states', () => {
    const media = { available: { start: rational(100), end: rational(200) } };
    expect(summary({ media, sourceStart: rational(150), length: rational(50) }, pictureMatch(TEN))).toBe('timeline 100 fits');
    expect(summary({ media, sourceStart: rational(150), length: rational(51) }, NO_MATCH)).toBe('timeline 100 does not fit');
    expect(summary({ media, sourceStart: rational(99) }, NO_MATCH)).toBe('timeline 100 does not fit');
  });

  it('has no end where the stated range has no length and no report knows', () => {
    const media = { available: { start: rational(100), end: rational(100) } };
    expect(summary({ media, sourceStart: rational(5000) }, NO_MATCH)).toBe('timeline 100 fits');
  });

  it('is 0 where source times count from the start of the file, whatever the stamps say', () => {
    const words = { media: { sourceIsMediaTime: true }, sourceStart: film(clock(10)), length: film(10) };
    expect(summary(words, pictureMatch(TEN))).toBe('media-time 0 does not fit');
    expect(summary({ ...words, sourceStart: film(5) }, pictureMatch(TEN))).toBe('media-time 0 fits');
  });

  it("is the report's stamp when the clip then lies inside the file", () => {
    const stamp = film(clock(10));
    expect(formatRational(stamp)).toBe('36036');
    expect(summary({ sourceStart: film(clock(10, 0, 10)), length: film(24) }, pictureMatch(TEN))).toBe('stamp 36036 fits');
    expect(summary({ sourceStart: film(clock(10)), length: film(1000) }, pictureMatch(TEN))).toBe('stamp 36036 fits');
    expect(originOf(clipWith({ sourceStart: film(clock(10, 0, 10)), length: film(24) }), pictureMatch(TEN))).toMatchObject({
      reason: "the report's time stamp of the file fits the clip's source times",
      hint: null,
    });
  });

  it("is 0 when the clip lies outside the file at the report's stamp", () => {
    expect(summary({ sourceStart: film(500), length: film(24) }, pictureMatch(TEN))).toBe('first-frame 0 fits');
    expect(summary({ sourceStart: film(990), length: film(24) }, pictureMatch(TEN))).toBe('first-frame 0 does not fit');
  });

  it('is the stamp when the clip runs a little past the end of the file, so that it is told by how much', () => {
    const origin = originOf(clipWith({ sourceStart: film(clock(10) + 990), length: film(12) }), pictureMatch(TEN));
    expect(origin).toMatchObject({ from: 'stamp', fits: false });
    expect(formatRational(multiply(origin.asked.end, FILM))).toBe('1002');
  });

  it('counts from the stamp up to a day when the report states no length', () => {
    const open = pictureMatch({ start: '10:00:00:00' });
    expect(summary({ sourceStart: film(clock(11)) }, open)).toBe('stamp 36036 fits');
    expect(summary({ sourceStart: film(clock(9)) }, open)).toBe('first-frame 0 fits');
    expect(summary({ sourceStart: film(clock(10) - 12), length: film(24) }, open)).toBe('stamp 36036 does not fit');
  });

  it('goes past midnight: a file stamped 23:59:50 holds the source time 00:00:05', () => {
    const late = pictureMatch({ start: '23:59:50:00', frames: 1000 });
    const origin = originOf(clipWith({ sourceStart: film(clock(0, 0, 5)), length: film(24) }), late);
    expect(origin).toMatchObject({ from: 'stamp', fits: true });
    // 15 labelled seconds after the first frame.
    expect(formatRational(multiply(origin.asked.start, FILM))).toBe('360');
  });

  it('goes past midnight in drop-frame, whose day is 2,589,408 frames (SMPTE ST 12-1)', () => {
    const rate = rational(30000, 1001);
    const late = pictureMatch({ rate: '30000/1001', start: '23:59:50;00', frames: 1000 });
    const origin = originOf(clipWith({ rate, sourceStart: divide(rational(150), rate), length: rational(1) }), late);
    expect(origin).toMatchObject({ from: 'stamp', fits: true });
    expect(formatRational(multiply(origin.asked.start, rate))).toBe('450');
  });

  it('joins sound stamps and timecode through real seconds', () => {
    // 01:00:00:00 at 24000/1001 is 172,972,800 samples at 48 kHz (SMPTE ST 12-1 with EBU Tech 3285; computed).
    const match = soundMatch({ startSample: 172_972_800, samples: 480_000 });
    const origin = originOf(clipWith({ role: 'sound', sourceStart: film(clock(1)), length: film(24) }), match);
    expect(origin).toMatchObject({ from: 'stamp', fits: true });
    expect(formatRational(origin.asked.start)).toBe('0');
  });

  it('is the first frame for media no report knows', () => {
    expect(summary({ sourceStart: rational(3600) }, NO_MATCH)).toBe('first-frame 0 fits');
  });
});

describe('what a clip asks for', () => {
  it('follows its speed, forwards and backwards', () => {
    const double = originOf(
      clipWith({ length: rational(2), speed: { kind: 'constant', scalar: rational(2), span: null } }),
      NO_MATCH,
    );
    expect(formatRational(double.asked.end)).toBe('4');
    const back = originOf(
      clipWith({ sourceStart: rational(10), length: rational(2), speed: { kind: 'constant', scalar: rational(-1), span: null } }),
      NO_MATCH,
    );
    expect([back.asked.start, back.asked.end].map(formatRational)).toEqual(['8', '10']);
  });

  it('is its first instant when its speed is not known', () => {
    const words: ClipWords = { sourceStart: rational(3), speed: { kind: 'unknown', reason: 'a curve', span: null } };
    expect([originOf(clipWith(words), NO_MATCH).asked.end].map(formatRational)).toEqual(['3']);
  });
});

describe('the hint for a clip that does not fit', () => {
  const hintOf = (words: ClipWords, match: Parameters<typeof originOf>[1]): string | null =>
    originOf(clipWith(words), match).hint;

  it('names the rate its timecode was counted at, 3.6 s per hour away', () => {
    // The label 10:00:20:00 counted at 24 instead of 24000/1001 lies 36 s early.
    const at24 = { rate: rational(24), sourceStart: rational(36020), length: rational(1) };
    expect(hintOf(at24, pictureMatch(TEN))).toBe(
      'it would fit if its timecode counted 23.976 instead of 24 frames per second, which is 3.6 s per hour',
    );
    const at23976 = { sourceStart: film(clock(10, 0, 20)), length: film(24) };
    expect(hintOf(at23976, pictureMatch({ ...TEN, rate: 24 }))).toBe(
      'it would fit if its timecode counted 24 instead of 23.976 frames per second, which is 3.6 s per hour',
    );
    const inSamples = { role: 'sound' as const, rate: rational(48000), sourceStart: rational(36020), length: rational(1) };
    expect(hintOf(inSamples, soundMatch({ startSample: 36036 * 48000, samples: 48000 * 40 }))).toBe(
      'it would fit if its source times ran 0.1 % longer, which is 3.6 s per hour',
    );
  });

  it('names the other way to count', () => {
    const fromStart = {
      media: { available: { start: film(clock(10)), end: add(film(clock(10)), film(1000)) } },
      sourceStart: film(5),
      length: film(5),
    };
    expect(hintOf(fromStart, pictureMatch(TEN))).toBe("it would fit if counted from the file's start");
    const fromStamp = { media: { sourceIsMediaTime: true }, sourceStart: film(clock(10)), length: film(5) };
    expect(hintOf(fromStamp, pictureMatch(TEN))).toBe("it would fit if counted from the report's time stamp of the file");
  });

  it('is silent when nothing fits', () => {
    expect(hintOf({ sourceStart: film(clock(3)), length: film(5) }, pictureMatch(TEN))).toBeNull();
  });
});
