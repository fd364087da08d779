/**
 * Conversion there and back, for timelines nobody wrote by hand.
 *
 * - What a format holds is converted without a word and comes back the same: clips, record, source, rates, media, speeds, enabled,
 *   transitions.
 * - Whatever the timeline: where nothing was said to be lost, it comes back the same.
 * - Nothing reads back otherwise than it was written (`check`), and every loss stands inside the source text.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { TargetFormat } from '../../server/src/core/convert/verifyText.ts';
import { convert, read, textOf, told } from '../unit/convert/conversions.ts';
import { type Flavour, summary, timelines } from '../unit/convert/randomTimelines.ts';

interface Route {
  readonly from: TargetFormat;
  readonly to: TargetFormat;
  readonly flavour: Flavour;
  readonly startsAtOnce?: boolean;
}

/** What both ends hold, so that nothing may be lost. */
const EXACT: readonly Route[] = [
  { from: 'otio', to: 'xml', flavour: 'exact' },
  { from: 'xml', to: 'otio', flavour: 'exact' },
  { from: 'otio', to: 'otio', flavour: 'exact' },
  { from: 'xml', to: 'xml', flavour: 'exact' },
  { from: 'edl', to: 'otio', flavour: 'list', startsAtOnce: true },
  { from: 'otio', to: 'edl', flavour: 'list', startsAtOnce: true },
  { from: 'edl', to: 'edl', flavour: 'list', startsAtOnce: true },
];

describe('a timeline that both formats hold', () => {
  it.each(EXACT)(
    'from $from to $to and back is the same, and nothing is said to be lost',
    ({ from, to, flavour, startsAtOnce = false }) => {
      fc.assert(
        fc.property(timelines(flavour, { startsAtOnce }), (timeline) => {
          const text = textOf(timeline, from);
          const before = read(from, text, timeline.rate);
          const there = convert(from, text, to, { rate: timeline.rate });
          // An edit list without stamps is all that an edit list can say; units and starts of files are OTIO's and XML's own.
          const lost = there.losses.filter(({ kind }) => !isOwnOfList(kind, from, to));
          expect(told(lost)).toEqual([]);
          const back = convert(to, there.text, from, { rate: timeline.rate });
          expect(told(back.losses.filter(({ kind }) => !isOwnOfList(kind, to, from)))).toEqual([]);
          expect(summary(back.timeline)).toEqual(summary(before));
        }),
        { numRuns: 60 },
      );
    },
  );
});

describe('any timeline', () => {
  const formats: readonly TargetFormat[] = ['otio', 'xml', 'edl'];
  const routes = formats.flatMap((from) => formats.map((to) => ({ from, to })));

  it.each(routes)('from $from to $to and back is the same where nothing was said to be lost', ({ from, to }) => {
    fc.assert(
      fc.property(
        fc.oneof(timelines('wild', { mostSounds: 6, mostPictures: 2 }), timelines('plain'), timelines('exact')),
        (timeline) => {
          const text = textOf(timeline, from);
          const before = read(from, text, timeline.rate);
          if (before.clips.length === 0) return;
          const there = convert(from, text, to, { rate: timeline.rate });
          expect(told(there.losses.filter(({ kind }) => kind === 'check'))).toEqual([]);
          expect(
            there.losses.every(
              ({ span }) => span === null || (span.start >= 0 && span.start <= span.end && span.end <= text.length),
            ),
          ).toBe(true);
          if (there.losses.length > 0) return;
          const back = convert(to, there.text, from, { rate: timeline.rate });
          if (back.losses.length === 0) expect(summary(back.timeline)).toEqual(summary(before));
        },
      ),
      { numRuns: 60 },
    );
  });
});

/** `speed` on sound is told as a custom of lists, though it reads back. */
function isOwnOfList(kind: string, _from: TargetFormat, to: TargetFormat): boolean {
  return to === 'edl' && kind === 'speed';
}
