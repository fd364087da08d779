/**
 * Where the clap desk puts a sound: exact at the rates where floats go wrong, later by exactly what was pressed, and never leading by
 * more than the doubt about the edge while nobody nudges against the rule.
 *
 * Sources: a frame of 24000/1001 at 48 kHz is 2002 samples (SMPTE ST 12-1 rate); "sound may lag by about a frame, never lead" is common
 * practice, consistent with the asymmetry in ITU-R BT.1359-1. Intervals of the readings: see sound/clapLog/contactInterval.ts.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  add,
  compare,
  divide,
  equals,
  formatRational,
  multiply,
  type Rational,
  rational,
  subtract,
  ZERO,
} from '../../../server/src/core/time/rational.ts';
import { contactInterval, FRAME_READINGS } from '../../../server/src/sound/clapLog/contactInterval.ts';
import {
  type DeskChoice,
  type DeskPlacement,
  frameAtSample,
  heardLater,
  missingIn,
  placementOf,
  sampleAtFrame,
} from '../../../server/src/sound/desk/deskPlacement.ts';

const RATE = rational(24000, 1001);
const SAMPLE_RATE = rational(48000);
const NOTHING: DeskChoice = { standing: null, seen: null, edge: null, edgeMoved: ZERO, nudge: ZERO };
const SEEN = { frame: rational(133), reading: 'first-closed', shutterDegrees: null } as const;
const EDGE = { sample: rational(1_234_567), uncertainty: rational(3), isFound: true };
const STANDING = {
  frame: rational(132),
  sample: rational(4_938_269, 4),
  uncertaintyEarly: rational(209, 10_000),
  uncertaintyLate: rational(209, 10_000),
  by: 'eye',
  isEdge: true,
} as const;

function placed(choice: Partial<DeskChoice>): DeskPlacement {
  const placement = placementOf({ ...NOTHING, ...choice }, RATE, SAMPLE_RATE);
  if (placement === null) throw new Error('nothing was placed');
  return placement;
}

function numbers({ frame, sample, uncertaintyEarly, uncertaintyLate }: DeskPlacement): readonly string[] {
  return [frame, sample, uncertaintyEarly, uncertaintyLate].map(formatRational);
}

describe('a frame and an edge', () => {
  it('put the edge on the start of the first frame with the hands together: late by a frame at most, early by the doubt of the edge', () => {
    expect(numbers(placed({ seen: SEEN, edge: EDGE }))).toEqual([
      '133',
      '1234567',
      '1/16000',
      formatRational(add(rational(1001, 24000), rational(1, 16000))),
    ]);
    expect(placed({ seen: SEEN, edge: EDGE }).by).toBe('clap');
  });

  it('put it on the start of the next frame where the hands meet in this one', () => {
    expect(numbers(placed({ seen: { ...SEEN, reading: 'contact' }, edge: EDGE }))[0]).toBe('134');
  });

  it('are by eye where a person put or moved the edge', () => {
    expect(placed({ seen: SEEN, edge: { ...EDGE, isFound: false } }).by).toBe('eye');
    expect(placed({ seen: SEEN, edge: EDGE, edgeMoved: rational(2) }).by).toBe('eye');
  });

  it('are both needed where the report has no pair', () => {
    expect(placementOf({ ...NOTHING, seen: SEEN }, RATE, SAMPLE_RATE)).toBeNull();
    expect(placementOf({ ...NOTHING, edge: EDGE }, RATE, SAMPLE_RATE)).toBeNull();
    expect(placementOf(NOTHING, RATE, SAMPLE_RATE)).toBeNull();
  });
});

describe('what was not chosen', () => {
  it('stays as the report has it, to the fraction', () => {
    expect(numbers(placed({ standing: STANDING }))).toEqual(['132', '4938269/4', '209/10000', '209/10000']);
    expect(placed({ standing: STANDING }).by).toBe('eye');
    expect(numbers(placed({ standing: STANDING, seen: SEEN })).slice(0, 2)).toEqual(['133', '4938269/4']);
    expect(numbers(placed({ standing: STANDING, edge: EDGE })).slice(0, 2)).toEqual(['132', '1234567']);
  });
});

describe('a pair that ties any sample to any frame, as by waveform', () => {
  const waveform = { ...STANDING, frame: ZERO, sample: rational(52_800), by: 'waveform', isEdge: false } as const;

  it('stays where it is until both a frame and an edge were chosen', () => {
    for (const choice of [{}, { seen: SEEN }, { edge: EDGE }]) {
      expect(numbers(placed({ standing: waveform, ...choice })).slice(0, 2)).toEqual(['0', '52800']);
    }
    expect(numbers(placed({ standing: waveform, seen: SEEN, edge: EDGE })).slice(0, 2)).toEqual(['133', '1234567']);
  });

  it('says which of the two is missing', () => {
    const missing = (choice: Partial<DeskChoice>): unknown => missingIn({ ...NOTHING, standing: waveform, ...choice });
    expect([missing({}), missing({ seen: SEEN }), missing({ edge: EDGE }), missing({ seen: SEEN, edge: EDGE })]).toEqual([
      null,
      'edge',
      'frame',
      null,
    ]);
    expect([missingIn({ ...NOTHING, edge: EDGE }), missingIn({ ...NOTHING, seen: SEEN })]).toEqual(['frame', 'edge']);
  });

  it('can be nudged as it stands', () => {
    expect(numbers(placed({ standing: waveform, nudge: rational(1, 10), edgeMoved: rational(2) })).slice(0, 2)).toEqual([
      '1/10',
      '52802',
    ]);
  });
});

describe('a report that tells no uncertainty', () => {
  const silent = { ...STANDING, uncertaintyEarly: ZERO, uncertaintyLate: ZERO };

  it('is given none by nudging: nothing was seen that tells one', () => {
    const nudged = placed({ standing: silent, nudge: rational(3, 10) });
    expect([nudged.isDoubtKnown, ...numbers(nudged).slice(2)]).toEqual([false, '0', '0']);
  });

  it('is given one once a frame was seen', () => {
    expect(placed({ standing: silent, seen: SEEN }).isDoubtKnown).toBe(true);
  });
});

describe('nudging', () => {
  it('by a tenth of a frame later adds exactly a tenth to the frame, and takes nothing from the samples', () => {
    const later = placed({ standing: STANDING, nudge: rational(1, 10) });
    expect(numbers(later).slice(0, 2)).toEqual(['1321/10', '4938269/4']);
    // A tenth of a frame is 1001/240000 s: it may lag by that much more, and lead by that much less.
    expect(numbers(later).slice(2)).toEqual([
      formatRational(subtract(rational(209, 10_000), rational(1001, 240_000))),
      formatRational(add(rational(209, 10_000), rational(1001, 240_000))),
    ]);
  });

  it('the edge by a sample later is heard exactly a sample earlier', () => {
    const earlier = placed({ standing: STANDING, edgeMoved: rational(1) });
    expect(numbers(earlier).slice(0, 2)).toEqual(['132', '4938273/4']);
    expect(formatRational(earlier.movedByHand)).toBe('-1/48000');
    expect(formatRational(heardLater(STANDING, earlier, RATE, SAMPLE_RATE, ZERO))).toBe('-1/48000');
  });

  it('ten tenths are a frame: three thousand presses there and back leave no trace', () => {
    let nudge: Rational = ZERO;
    for (let press = 0; press < 3000; press += 1) nudge = add(nudge, rational(1, 10));
    expect(numbers(placed({ standing: STANDING, nudge }))[0]).toBe('432');
    for (let press = 0; press < 3000; press += 1) nudge = subtract(nudge, rational(1, 10));
    expect(numbers(placed({ standing: STANDING, nudge }))).toEqual(numbers(placed({ standing: STANDING })));
  });
});

const frames = fc.integer({ min: 0, max: 10_000_000 }).map((frame) => rational(frame));
const samples = fc.tuple(fc.integer({ min: 0, max: 2_000_000_000 }), fc.constantFrom(1, 2, 4)).map(([n, d]) => rational(n, d));
const rates = fc.constantFrom(rational(24000, 1001), rational(24), rational(25), rational(30000, 1001), rational(60000, 1001));
const sampleRates = fc.constantFrom(rational(44100), rational(48000), rational(96000), rational(48048));
const readings = fc.constantFrom(...FRAME_READINGS);
const shutters = fc.option(fc.constantFrom(rational(180), rational(864, 5), rational(360)), { nil: null });
const tenths = fc.integer({ min: -200, max: 200 }).map((count) => rational(count, 10));
const moves = fc.integer({ min: -5000, max: 5000 }).map((count) => rational(count));

describe('for any choice', () => {
  it('the sound never leads by more than the doubt of the edge, whenever in the interval the hands met, unless it is moved earlier by hand', () => {
    fc.assert(
      fc.property(
        frames,
        samples,
        rates,
        sampleRates,
        readings,
        shutters,
        fc.integer({ min: 0, max: 100 }),
        fc.integer({ min: 0, max: 1000 }),
        (frame, sample, rate, sampleRate, reading, shutterDegrees, tenthsLater, parts) => {
          const edge = { sample, uncertainty: rational(2), isFound: true };
          const choice = { ...NOTHING, seen: { frame, reading, shutterDegrees }, edge, nudge: rational(tenthsLater, 10) };
          const placement = placementOf(choice, rate, sampleRate);
          if (placement === null) return false;
          const interval = contactInterval(reading, rate, shutterDegrees);
          // The hands truly met somewhere in the interval, and the edge is where it was found.
          const share = rational(parts, 1000);
          const met = add(interval.earliest, multiply(share, subtract(interval.latest, interval.earliest)));
          const truth = { frame: add(frame, multiply(met, rate)), sample };
          const lag = heardLater(truth, placement, rate, sampleRate, ZERO);
          return compare(lag, ZERO) >= 0 && compare(lag, placement.uncertaintyLate) <= 0;
        },
      ),
    );
  });

  it('what may be early and late covers the truth, nudged whichever way', () => {
    fc.assert(
      fc.property(
        frames,
        samples,
        rates,
        sampleRates,
        readings,
        shutters,
        tenths,
        moves,
        fc.integer({ min: 0, max: 1000 }),
        (frame, sample, rate, sampleRate, reading, shutterDegrees, nudge, edgeMoved, parts) => {
          const edge = { sample, uncertainty: rational(2), isFound: true };
          const placement = placementOf(
            { standing: null, seen: { frame, reading, shutterDegrees }, edge, nudge, edgeMoved },
            rate,
            sampleRate,
          );
          if (placement === null) return false;
          const interval = contactInterval(reading, rate, shutterDegrees);
          const met = add(interval.earliest, multiply(rational(parts, 1000), subtract(interval.latest, interval.earliest)));
          const lag = heardLater({ frame: add(frame, multiply(met, rate)), sample }, placement, rate, sampleRate, ZERO);
          return compare(lag, placement.uncertaintyLate) <= 0 && compare(subtract(ZERO, lag), placement.uncertaintyEarly) <= 0;
        },
      ),
    );
  });

  it('is heard later by exactly what was pressed', () => {
    fc.assert(
      fc.property(frames, samples, rates, sampleRates, tenths, moves, (frame, sample, rate, sampleRate, nudge, edgeMoved) => {
        const standing = { ...STANDING, frame, sample };
        const placement = placementOf({ standing, seen: null, edge: null, nudge, edgeMoved }, rate, sampleRate);
        if (placement === null) return false;
        const pressed = subtract(divide(nudge, rate), divide(edgeMoved, sampleRate));
        return equals(heardLater(standing, placement, rate, sampleRate, ZERO), pressed) && equals(placement.movedByHand, pressed);
      }),
    );
  });

  it('frames and samples lead to each other and back', () => {
    fc.assert(
      fc.property(
        frames,
        samples,
        rates,
        sampleRates,
        frames,
        fc.integer({ min: -200, max: 200 }),
        (frame, sample, rate, sampleRate, other, ppm) => {
          const placement = { frame, sample };
          const at = sampleAtFrame(other, placement, rate, sampleRate, rational(ppm));
          return equals(frameAtSample(at, placement, rate, sampleRate, rational(ppm)), other);
        },
      ),
    );
  });
});

describe('the frames over the recording', () => {
  it('are 2002 samples apart at 24000/1001 and 48 kHz, to the last frame of two hours', () => {
    const placement = { frame: rational(133), sample: rational(1_234_567) };
    for (const frame of [0, 1, 133, 134, 172_626]) {
      const at = sampleAtFrame(rational(frame), placement, RATE, SAMPLE_RATE, ZERO);
      expect(formatRational(at)).toBe(String(1_234_567 + (frame - 133) * 2002));
    }
  });

  it('follow the drift of the pair', () => {
    // An hour of picture at +50 ppm is 0.18 s more of sound.
    const placement = { frame: ZERO, sample: ZERO };
    const at = sampleAtFrame(rational(90_000), placement, rational(25), SAMPLE_RATE, rational(50));
    expect(formatRational(at)).toBe(String(3600 * 48_000 + 8640));
  });
});
