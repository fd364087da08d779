/**
 * Clips for tests of look-up and origin: everything but what a test is about is filled in.
 */

import { type Rational, rational } from '../../../server/src/core/time/rational.ts';
import type { Clip, Media } from '../../../server/src/core/timeline/model.ts';

const NOWHERE = { start: 0, end: 0 };

export interface ClipWords {
  readonly role?: Clip['role'];
  readonly name?: string;
  readonly media?: Partial<Media>;
  readonly sourceStart?: Rational;
  readonly length?: Rational;
  readonly rate?: Rational;
  readonly speed?: Clip['speed'];
}

export function clipWith(words: ClipWords): Clip {
  const rate = words.rate ?? rational(24000, 1001);
  return {
    index: 0,
    track: 0,
    role: words.role ?? 'picture',
    name: words.name ?? '',
    nameSpan: null,
    span: NOWHERE,
    isEnabled: true,
    record: { start: rational(0), end: words.length ?? rational(1) },
    doubt: null,
    sourceStart: words.sourceStart ?? rational(0),
    speed: words.speed ?? { kind: 'constant', scalar: rational(1), span: null },
    media: {
      kind: 'file',
      url: null,
      urlSpan: null,
      name: null,
      nameSpan: null,
      reel: null,
      reelSpan: null,
      available: null,
      sourceIsMediaTime: false,
      rate: null,
      rateSpan: null,
      ...words.media,
    },
    start: { span: NOWHERE, count: rational(0), rate, rateSpan: null },
    length: null,
    textGroup: 0,
    headOverlap: rational(0),
    tailOverlap: rational(0),
  };
}
