/**
 * Comparing two versions of a cut finds exactly what an editor did, in every format and between formats.
 *
 * Cuts, edits and expectations come from test/support/plantedEdits.ts, which knows nothing of the comparison. Amounts are exact
 * fractions of the tests' own.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ChangePart } from '../../server/src/core/review/clipChange.ts';
import { type CutReview, isEmptyReview, reviewCut } from '../../server/src/core/review/reviewCut.ts';
import { formatRational, type Rational } from '../../server/src/core/time/rational.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';
import { auditText, writeCut } from '../support/auditText.ts';
import type { TestCut } from '../support/cut.ts';
import { fraction, fractionText } from '../support/fraction.ts';
import {
  anyPlanted,
  anyShots,
  cutOf,
  cutOfShots,
  type ExpectedChange,
  type Planted,
  pictureOf,
  plantedReport,
  type Shot,
  soundOf,
} from '../support/plantedEdits.ts';

/** A composition playlist fills gaps with clips, so it can't hold these cuts as they are. */
const FORMATS: readonly FormatId[] = ['otio', 'xml', 'edl'];
const settings = { edlRate: '24000/1001' };

function review(before: TestCut, after: TestCut, from: FormatId, to: FormatId): CutReview {
  return reviewCut(
    auditText(from, writeCut(before, from), plantedReport, settings),
    auditText(to, writeCut(after, to), plantedReport, settings),
  );
}

describe('one edit', () => {
  it('is found, and nothing else', () => {
    fc.assert(
      fc.property(anyPlanted, fc.constantFrom(...FORMATS), (planted, format) => {
        fc.pre(canHold(planted, format));
        const found = review(planted.before, planted.after, format, format);
        expect(sorted(changesOf(found)), planted.title).toEqual(sorted(planted.changes));
        expect(found.sync.changes.map(({ by }) => formatRational(by)).sort(), planted.title).toEqual(
          planted.sync.map(seconds).sort(),
        );
        expect(found.blocks.reduce((sum, { clips }) => sum + clips.length, 0)).toBe(planted.inBlocks);
        expect(found.blocks.length).toBe(planted.inBlocks === 0 ? 0 : 1);
      }),
      { numRuns: 200 },
    );
  });

  it('is found between two formats too', () => {
    fc.assert(
      fc.property(anyPlanted, fc.constantFrom(...FORMATS), fc.constantFrom(...FORMATS), (planted, from, to) => {
        fc.pre(from !== to && canHold(planted, from) && canHold(planted, to));
        // A list has no start but its first event: an edit that leaves that event alone keeps the two record times comparable.
        fc.pre(planted.before.shots[0]?.recordIn === planted.after.shots[0]?.recordIn);
        const found = review(planted.before, planted.after, from, to);
        expect(found.sync.changes.map(({ by }) => formatRational(by)).sort(), planted.title).toEqual(
          planted.sync.map(seconds).sort(),
        );
        expect(sorted(changesOf(found)), planted.title).toEqual(sorted(planted.changes));
      }),
      { numRuns: 200 },
    );
  });

  it('says what the lag was and is, as the audits of both versions say', () => {
    fc.assert(
      fc.property(anyPlanted, fc.constantFrom('otio' as const, 'xml' as const), (planted, format) => {
        fc.pre(planted.sync.length > 0);
        const found = review(planted.before, planted.after, format, format);
        for (const { lag, picture, sound } of found.sync.changes) {
          const before = found.old.comparisons.find(
            ({ pictureClip, soundClip }) => pictureClip === picture.old.clip.index && soundClip === sound.old.clip.index,
          );
          expect(formatRational(lag?.before as Rational)).toBe(formatRational(before?.lag.head as Rational));
          expect(formatRational(lag?.after as Rational)).not.toBe(formatRational(lag?.before as Rational));
        }
      }),
      { numRuns: 60 },
    );
  });
});

describe('a cut that was only laid out anew', () => {
  it.each(FORMATS)('gives an empty review in %s', (format) => {
    fc.assert(
      fc.property(anyShots({ min: 1, max: 12 }), (shots) => {
        const text = writeCut(cutOfShots(shots), format);
        const found = reviewCut(
          auditText(format, text, plantedReport, settings),
          auditText(format, laidOutAnew(format, text), plantedReport, settings),
        );
        expect(isEmptyReview(found)).toBe(true);
      }),
      { numRuns: 40 },
    );
  });
});

describe('one slip among 200 edits that keep sync', () => {
  it('is the only change of sync that is told', () => {
    fc.assert(
      fc.property(
        anyShots({ min: 210, max: 230 }),
        fc.nat(200),
        fc.integer({ min: 1, max: 9 }),
        fc.array(fc.record({ act: fc.nat(3), amount: fc.integer({ min: 1, max: 9 }) }), { minLength: 200, maxLength: 200 }),
        fc.constantFrom(...FORMATS),
        (shots, slipped, amount, acts, format) => {
          let ripple = 0;
          const edited = shots.map((shot, index): Shot => {
            const { act, amount: by } = acts[index] ?? { act: -1, amount: 0 };
            if (act === 0) ripple += by;
            const recordIn = shot.recordIn + ripple;
            if (act === 1) return { ...shot, recordIn, length: shot.length - by };
            if (act === 2) return { ...shot, recordIn, sourceIn: shot.sourceIn + by };
            return { ...shot, recordIn };
          });
          const after = cutOf(
            edited.flatMap((shot, index) => [
              pictureOf(shot),
              { ...soundOf(shot), sourceIn: shot.sourceIn - (index === slipped ? amount : 0) },
            ]),
          );
          const found = review(cutOfShots(shots), after, format, format);
          expect(found.sync.changes.map(({ by }) => formatRational(by))).toEqual([seconds(amount)]);
        },
      ),
      { numRuns: 12, endOnFailure: true },
    );
  });
});

/** A list has no word for a disabled clip. */
function canHold({ isDisabling }: Planted, format: FormatId): boolean {
  return !isDisabling || format !== 'edl';
}

/** Exact seconds of a count of frames at 24000/1001. */
function seconds(frames: number): string {
  return fractionText(fraction(BigInt(frames) * 1001n, 24000));
}

function changesOf({ blocks, clips, now }: CutReview): readonly ExpectedChange[] {
  const track = (index: number): string =>
    trackName(now.timeline.tracks[index]?.name ?? '', now.timeline.tracks[index]?.kind ?? '');
  return [
    ...blocks.flatMap((block) =>
      block.clips.map((clip) => ({ track: track(clip.clip.track), what: `moved ${frames(block.by)}` })),
    ),
    ...clips.map((change) => {
      if (change.kind === 'changed') return { track: track(change.now.clip.track), what: change.parts.map(inFrames).join(', ') };
      const { clip } = change.kind === 'added' ? change.now : change.old;
      return { track: clip.role === 'picture' ? 'V1' : 'A1', what: change.kind };
    }),
  ];
}

/** Formats name tracks differently; the tests have one picture track and two sound tracks. */
function trackName(name: string, kind: string): string {
  if (kind === 'picture') return 'V1';
  return /2$/.test(name) ? 'A2' : 'A1';
}

function inFrames(part: ChangePart): string {
  switch (part.kind) {
    case 'moved':
    case 'slipped':
      return `${part.kind} ${frames(part.by)}`;
    case 'recut':
      return `recut ${frames(part.head)} ${frames(part.tail)}`;
    case 'split':
      return `split ${part.into}`;
    default:
      return part.kind;
  }
}

function frames({ numerator, denominator }: Rational): string {
  return fractionText(fraction(BigInt(numerator) * 24000n, BigInt(denominator) * 1001n));
}

function sorted(changes: readonly ExpectedChange[]): readonly string[] {
  return changes.map(({ track, what }) => `${track} ${what}`).sort();
}

function laidOutAnew(format: FormatId, text: string): string {
  if (format === 'otio') return JSON.stringify(JSON.parse(text));
  if (format === 'xml') return text.replaceAll('><', '>\n\t<').replaceAll(' enabled=', '\n  enabled=');
  return text.replaceAll('\n', '\r\n').replaceAll(/^(\d{3}) {2}AX {7}/gm, '$1 AX ');
}
