/**
 * Reading a composition playlist never throws, on any string, and every problem has a place inside the text.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readAssetMap } from '../../server/src/core/formats/cpl/readAssetMap.ts';
import { readCpl } from '../../server/src/core/formats/cpl/readCpl.ts';
import { XML_LIMITS } from '../../server/src/core/syntax/xml/xmlLimits.ts';
import type { Timeline } from '../../server/src/core/timeline/model.ts';
import { TWO_SEGMENTS } from '../unit/cpl/cplSupport.ts';

function expectSound(text: string, timeline: Timeline): void {
  const isInside = ({ start, end }: { readonly start: number; readonly end: number }): boolean =>
    start >= 0 && start <= end && end <= text.length;
  expect(timeline.observations.every(({ span }) => isInside(span))).toBe(true);
  expect(timeline.clips.every((clip, index) => clip.index === index && isInside(clip.span))).toBe(true);
  expect(timeline.clips.every(({ start }) => start === null || isInside(start.span))).toBe(true);
  expect(timeline.tracks.every((track, index) => track.index === index)).toBe(true);
}

describe('reading a composition playlist', () => {
  it('never throws, on any string', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string({ unit: 'binary' }), fc.string()), (text) => {
        expectSound(text, readCpl(text, null));
        expect(readAssetMap(text).problems.every(({ span }) => span.end <= text.length)).toBe(true);
      }),
      { numRuns: 200 },
    );
  });

  it('never throws on one cut short, at any of fifty places', () => {
    for (let part = 0; part <= 50; part += 1) {
      const text = TWO_SEGMENTS.slice(0, Math.round((TWO_SEGMENTS.length * part) / 50));
      const timeline = readCpl(text, null);
      expectSound(text, timeline);
      if (part < 50) expect(timeline.observations.length, `cut at ${part} of 50`).toBeGreaterThan(0);
    }
  });

  it('never throws on damaged ones: pieces dropped, doubled, swapped for others', () => {
    const pieces = TWO_SEGMENTS.split(/(?<=>)/);
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(fc.nat(pieces.length - 1), fc.constantFrom('drop', 'double', 'swap', 'digits'), fc.nat(pieces.length - 1)),
          {
            minLength: 1,
            maxLength: 4,
          },
        ),
        (damages) => {
          const damaged = [...pieces];
          for (const [at, damage, other] of damages) {
            if (damage === 'drop') damaged[at] = '';
            else if (damage === 'double') damaged[at] += damaged[at] as string;
            else if (damage === 'swap') damaged[at] = damaged[other] as string;
            else damaged[at] = (damaged[at] as string).replace(/\d+/, '-99999999999999999999999.5');
          }
          const text = damaged.join('');
          expectSound(text, readCpl(text, null));
        },
      ),
      { numRuns: 300 },
    );
  });

  it('says where a limit cut it short', () => {
    const many = TWO_SEGMENTS.replace('<SegmentList>', `<SegmentList>${'<Nothing/>'.repeat(50)}`);
    const timeline = readCpl(many, null, { ...XML_LIMITS, problems: 10 });
    expect(timeline.observations.some(({ kind }) => kind === 'limit')).toBe(true);
    const long = readCpl(TWO_SEGMENTS, null, { ...XML_LIMITS, textLength: 3000 });
    expect(long.observations.some((observation) => observation.kind === 'limit' && observation.message.includes('3000'))).toBe(
      true,
    );
  });
});
