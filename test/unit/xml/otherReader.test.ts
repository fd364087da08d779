/**
 * The same numbers through another reader: xml2js builds its own tree, and the positions are worked out from that tree in
 * BigInt fractions that share no code with ours.
 */

import { describe, expect, test } from 'vitest';
import { Parser } from 'xml2js';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import { type Fraction, fraction, fractionText, over, plus } from '../../support/fraction.ts';
import { digits, readXml, SMALL_CUT } from './xmlSupport.ts';

interface Leaf {
  readonly [name: string]: readonly string[] | undefined;
}
interface TreeTrack {
  readonly $: { readonly kind: string };
  readonly EditRate?: readonly string[];
  readonly Clip?: readonly Leaf[];
  readonly Gap?: readonly Leaf[];
  /** Children in text order, as the option explicitChildren gives them. */
  readonly $$: readonly ({ readonly '#name': string } & Leaf)[];
}
interface Tree {
  readonly Timeline: {
    readonly EditRate: readonly string[];
    readonly Stack: readonly [{ readonly Track: readonly TreeTrack[] }];
  };
}

async function treeOf(text: string): Promise<Tree> {
  const parser = new Parser({ explicitChildren: true, preserveChildrenOrder: true });
  return (await parser.parseStringPromise(text)) as Tree;
}

function rateOf(written: string | undefined): Fraction | null {
  if (written === undefined) return null;
  const [numerator, denominator] = written.trim().split(/\s+/);
  return fraction(BigInt(numerator ?? '0'), BigInt(denominator ?? '1'));
}

describe('xml2js and our reader agree', () => {
  test('on every number of the small cut', async () => {
    const { Timeline } = await treeOf(SMALL_CUT);
    const expected: unknown[] = [];
    for (const track of Timeline.Stack[0].Track) {
      let place = fraction(0);
      for (const item of track.$$) {
        const isPlaced = item['#name'] === 'Clip' || item['#name'] === 'Gap';
        if (!isPlaced) continue;
        const rate = rateOf(item['EditRate']?.[0]) ?? rateOf(track.EditRate?.[0]) ?? rateOf(Timeline.EditRate[0]) ?? fraction(1);
        const end = plus(place, over(fraction(BigInt(item['SourceDuration']?.[0] ?? '0')), rate));
        if (item['#name'] === 'Clip') {
          expected.push({
            role: track.$.kind === 'Video' ? 'picture' : 'sound',
            name: item['Name']?.[0],
            start: fractionText(place),
            end: fractionText(end),
            entryPoint: item['EntryPoint']?.[0],
            length: item['SourceDuration']?.[0],
          });
        }
        place = end;
      }
    }
    const timeline = readXml(SMALL_CUT);
    const found = timeline.clips.map((clip) => ({
      role: clip.role,
      name: clip.name,
      start: formatRational(clip.record.start),
      end: formatRational(clip.record.end),
      entryPoint: digits(SMALL_CUT, clip.start),
      length: digits(SMALL_CUT, clip.length),
    }));
    expect(found).toEqual(expected);
    expect(found).toHaveLength(3);
  });
});
