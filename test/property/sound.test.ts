/**
 * Facts about sound that hold for every input: readers never throw, positions move with the sound, scale and sign change nothing,
 * and a clap is never placed so that sound would lead.
 */

import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { add, compare, divide, multiply, rational, subtract, ZERO } from '../../server/src/core/time/rational.ts';
import { byteSourceOf } from '../../server/src/sound/byteSource.ts';
import { assignClaps } from '../../server/src/sound/clapLog/assignClaps.ts';
import { contactInterval, FRAME_READINGS, placeClap } from '../../server/src/sound/clapLog/contactInterval.ts';
import { parseClapLog } from '../../server/src/sound/clapLog/parseClapLog.ts';
import { findClaps } from '../../server/src/sound/claps/findClaps.ts';
import { fitPieces } from '../../server/src/sound/delay/fitPieces.ts';
import { searchWindow } from '../../server/src/sound/delay/searchWindow.ts';
import { type Fourier, loadFourier, transformSize } from '../../server/src/sound/fourier/fourier.ts';
import { soundSourceOf } from '../../server/src/sound/soundSource.ts';
import { decodeSamples } from '../../server/src/sound/wave/decodeSamples.ts';
import { readWaveHeader } from '../../server/src/sound/wave/readWaveHeader.ts';
import { waveSource } from '../../server/src/sound/wave/waveSource.ts';
import { seededRandom } from '../unit/sound/synthesis/random.ts';
import { whiteNoise } from '../unit/sound/synthesis/signal.ts';
import { inventTake, PLAIN_TAKE } from '../unit/sound/synthesis/takes.ts';
import { ascii, dataChunk, encodeSamples, formatChunk, waveFile } from '../unit/sound/waveBytes.ts';

let fourier: Fourier;
beforeAll(async () => {
  fourier = await loadFourier();
});

describe('wave files', () => {
  test('any bytes at all are read or refused with a sentence', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 200 }), fc.boolean(), async (bytes, hasHead) => {
        const file = hasHead ? Uint8Array.from([...ascii('RIFF'), 0, 0, 0, 0, ...ascii('WAVE'), ...bytes]) : bytes;
        const reading = await readWaveHeader(byteSourceOf(file));
        if (reading.header === null) expect(reading.problems.some((problem) => problem.severity === 'error')).toBe(true);
        for (const problem of reading.problems) expect(problem.message).toMatch(/\.$/);
      }),
    );
  });

  test('a file cut or changed anywhere gives no sample that is not there', async () => {
    const whole = waveFile([
      formatChunk({ channels: 2 }),
      { id: 'iXML', body: ascii('<BWFXML><TAKE>1</TAKE></BWFXML>') },
      dataChunk(new Uint8Array(600).fill(7)),
    ]);
    await fc.assert(
      fc.asyncProperty(fc.nat(whole.length), fc.nat(80), fc.nat(255), async (length, place, value) => {
        const file = whole.slice(0, length);
        if (place < file.length) file[place] = value;
        const source = byteSourceOf(file);
        const { header } = await readWaveHeader(source);
        if (header === null) return;
        expect(header.dataOffset + header.dataBytes).toBeLessThanOrEqual(file.length);
        const into = new Float32Array(Math.min(1000, header.sampleCount + 5));
        const { count } = await waveSource(source, header).read(0, [0], [into]);
        expect(count).toBe(Math.min(into.length, header.sampleCount));
        expect(into.every((sample) => Number.isFinite(sample))).toBe(true);
      }),
    );
  });

  test('24 bits come back from every offset and alignment', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: -8388608, max: 8388607 }), { minLength: 1, maxLength: 60 }),
        fc.nat(7),
        (values, shift) => {
          const encoded = encodeSamples(
            's24',
            values.map((value) => value / 2 ** 23),
          );
          const moved = new Uint8Array(encoded.length + shift);
          moved.set(encoded, shift);
          const into = new Float32Array(values.length);
          decodeSamples(
            moved.subarray(shift),
            { encoding: 'integer', validBits: 24, containerBytes: 3 },
            1,
            0,
            into,
            0,
            values.length,
          );
          expect([...into].map((value) => value * 2 ** 23)).toEqual(values);
        },
      ),
    );
  });
});

describe('claps', () => {
  const take = inventTake(seededRandom('property'), PLAIN_TAKE);

  test('scale, sign, DC and silence in front change nothing but the place', async () => {
    const found = await findClaps(soundSourceOf(48000, take.samples), fourier);
    const edges = found.candidates.filter((candidate) => candidate.verdict === 'clap').map((candidate) => candidate.sample);
    expect(edges).toHaveLength(1);
    await fc.assert(
      fc.asyncProperty(
        fc.double({ min: 0.01, max: 1.9, noNaN: true }),
        fc.boolean(),
        fc.double({ min: -0.1, max: 0.1, noNaN: true }),
        fc.nat(9000),
        async (gain, isInverted, offset, lead) => {
          const random = seededRandom(lead);
          const samples = Float32Array.from({ length: take.samples.length + lead }, (_, index) => {
            const value = index < lead ? 1e-4 * random.normal() : (take.samples[index - lead] as number);
            return value * gain * (isInverted ? -1 : 1) + offset;
          });
          const moved = await findClaps(soundSourceOf(48000, samples), fourier);
          const places = moved.candidates
            .filter((candidate) => candidate.verdict === 'clap')
            .map((candidate) => candidate.sample);
          expect(places).toHaveLength(1);
          expect(Math.abs((places[0] as number) - (edges[0] as number) - lead)).toBeLessThanOrEqual(1);
        },
      ),
      { numRuns: 12 },
    );
  });
});

describe('delays', () => {
  test('a stretch cut out anywhere is found there, whatever its gain and sign', () => {
    const sound = Float32Array.from(whiteNoise(seededRandom('cut'), 12000));
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 4000 }),
        fc.double({ min: 0.001, max: 100, noNaN: true }),
        fc.boolean(),
        (delay, gain, isInverted) => {
          const scratch = sound.slice(delay, delay + 8000).map((value) => value * gain * (isInverted ? -1 : 1));
          const [best] = searchWindow(scratch, sound, 48000, fourier);
          expect(Math.abs((best?.lag ?? -9) - delay)).toBeLessThan(0.2);
          expect(best?.polarity).toBe(isInverted ? -1 : 1);
        },
      ),
      { numRuns: 40 },
    );
  });

  test('pieces of any line with any jumps are told apart', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -2e-4, max: 2e-4, noNaN: true }),
        fc.array(fc.integer({ min: 30, max: 90_000 }), { maxLength: 3 }),
        fc.nat(),
        (slope, jumps, seed) => {
          const random = seededRandom(seed);
          const perPiece = 6;
          let offset = 0;
          const points = Array.from({ length: perPiece * (jumps.length + 1) }, (_, index) => {
            if (index > 0 && index % perPiece === 0) offset += jumps[index / perPiece - 1] as number;
            return { x: index * 48000, offset: offset + slope * index * 48000 + 0.05 * random.normal(), clarity: 10 };
          });
          const fit = fitPieces(points, 5);
          expect(fit.pieces.map((piece) => piece.first)).toEqual(
            Array.from({ length: jumps.length + 1 }, (_, index) => index * perPiece),
          );
          expect(Math.abs(fit.slope - slope)).toBeLessThan(2e-6);
        },
      ),
      { numRuns: 40 },
    );
  });

  test('a transform size is never too small and always allowed', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 3_000_000 }), (atLeast) => {
        const size = transformSize(atLeast);
        expect(size).toBeGreaterThanOrEqual(atLeast);
        expect(size % 32).toBe(0);
        expect(size).toBeLessThan(Math.max(33, 1.4 * atLeast));
      }),
    );
  });
});

describe('clap logs', () => {
  test('any text is read without throwing, and every problem has a line of it', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.string().map((text) => `picture,clap frame,rate\n${text}`),
        ),
        (text) => {
          const { entries, problems } = parseClapLog(text);
          const lines = text.split(/\r\n|\r|\n/).length;
          for (const { line } of [...entries, ...problems]) {
            expect(line).toBeGreaterThanOrEqual(1);
            expect(line).toBeLessThanOrEqual(lines);
          }
        },
      ),
    );
  });

  test('wherever in its interval the contact fell, the sound placed by it lags by no more than stated and never leads', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...FRAME_READINGS),
        fc.option(fc.integer({ min: 1, max: 3600 })),
        fc.constantFrom(rational(24000, 1001), rational(24), rational(25), rational(30000, 1001), rational(60)),
        fc.nat(100_000),
        fc.nat(100_000_000),
        fc.integer({ min: 0, max: 1000 }),
        (reading, tenths, rate, frame, sample, share) => {
          const interval = contactInterval(reading, rate, tenths === null ? null : rational(tenths, 10));
          const placement = placeClap(rational(frame), interval, rate, rational(sample), ZERO);
          const within = add(interval.earliest, multiply(subtract(interval.latest, interval.earliest), rational(share, 1000)));
          const contact = add(divide(rational(frame), rate), within);
          const lag = subtract(divide(placement.frame, rate), contact);
          expect(compare(lag, ZERO)).toBeGreaterThanOrEqual(0);
          expect(compare(lag, placement.uncertaintyLate)).toBeLessThanOrEqual(0);
        },
      ),
    );
  });

  test('every clap seen ends in exactly one place, and no answer names a clap that was not heard', () => {
    const camera = fc.record({
      frame: fc.nat(500),
      clapNumber: fc.option(fc.integer({ min: 1, max: 6 })),
      startSeconds: fc.option(fc.integer({ min: 0, max: 40 })),
      frameCount: fc.option(fc.integer({ min: 1, max: 600 })),
    });
    fc.assert(
      fc.property(
        fc.array(camera, { maxLength: 5 }),
        fc.array(fc.nat(60), { maxLength: 6 }),
        fc.option(fc.nat(20)),
        (cameras, times, startSeconds) => {
          const seen = cameras.map((one, index) => ({
            ...one,
            picture: `cam ${index}`,
            rate: rational(25),
            frame: rational(one.frame),
            reading: 'contact' as const,
            shutterDegrees: null,
            sound: null,
          }));
          const claps = [...new Set(times)]
            .sort((left, right) => left - right)
            .map((at) => ({ sample: at * 48000, edgeUncertainty: 1, score: 0.9 }));
          const result = assignClaps(seen, [{ name: 'deck', sampleRate: 48000, claps, startSeconds }]);
          const places = [...result.fits, ...result.open, ...result.leftPictures]
            .map((one) => one.seen)
            .sort((left, right) => left - right);
          expect(places).toEqual(seen.map((_, index) => index));
          for (const fit of result.fits) {
            expect(claps[fit.clap - 1]).toBeDefined();
            expect(fit.confidence).toBeGreaterThan(0);
            expect(fit.confidence).toBeLessThanOrEqual(1 + 1e-9);
          }
          for (const one of result.open) expect(one.choices.every((choice) => claps[choice.clap - 1] !== undefined)).toBe(true);
        },
      ),
    );
  });
});
