/**
 * Fixes as text: the characters of a number change and nothing else does.
 */

import { describe, expect, it } from 'vitest';
import { otioFormat } from '../../../server/src/core/formats/otio/otioFormat.ts';
import type { Change } from '../../../server/src/core/formats/timelineFormat.ts';
import { applyEdits } from '../../../server/src/core/text/textEdit.ts';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import { clip, range, readText, timeline, track } from './otioObjects.ts';

const sample = JSON.stringify(timeline([track('Audio', [clip('a', range(100, 48))])]), null, 2);

function changed(text: string, change: Change): string {
  const result = otioFormat.editsFor(text, readText(text), change);
  if (!result.ok) return `refused: ${result.reason}`;
  return applyEdits(text, result.edits) ?? 'edits overlap';
}

describe('a new source start', () => {
  it.each([
    ['100', rational(101), '101'],
    ['100.0', rational(99), '99.0'],
    ['1.0e2', rational(101), '101.0'],
    ['100', rational(1001, 10), '100.1'],
    ['100.25', rational(100), '100.0'],
    ['100', rational(0), '0'],
    ['100', rational(-5), '-5'],
    ['172972800', rational(172972801), '172972801'],
    ['100', rational(1, 80), '0.0125'],
  ])('in place of %s', (written, count, expected) => {
    const text = sample.replace('"value": 100,', `"value": ${written},`);
    const after = changed(text, { kind: 'set-source-start', clip: 0, count });
    expect(after).toBe(text.replace(`"value": ${written},`, `"value": ${expected},`));
    const start = readText(after).clips[0]?.start;
    expect(start === null || start === undefined ? '' : formatRational(start.count)).toBe(formatRational(count));
  });

  it('that no decimal can hold is refused', () => {
    expect(changed(sample, { kind: 'set-source-start', clip: 0, count: rational(1, 3) })).toContain(
      'refused: The new start has no finite decimal',
    );
  });

  it('is refused where the text states none', () => {
    const media = { OTIO_SCHEMA: 'MissingReference.1', available_range: range(0, 5) };
    const text = JSON.stringify(timeline([track('Audio', [clip('a', null, { media_references: { DEFAULT_MEDIA: media } })])]));
    expect(changed(text, { kind: 'set-source-start', clip: 0, count: rational(1) })).toContain(
      'refused: This clip has no source_range',
    );
  });

  it('of a clip that is not there is refused', () => {
    expect(changed(sample, { kind: 'set-source-start', clip: 9, count: rational(1) })).toContain('refused:');
  });
});

describe('a new rate', () => {
  it.each([
    ['24', rational(24000, 1001), '23.976023976023978'],
    ['23.976', rational(24), '24.0'],
    ['24', rational(25), '25'],
    ['24.0', rational(25), '25.0'],
    ['24', rational(30000, 1001), '29.97002997002997'],
    ['30', rational(60000, 1001), '59.94005994005994'],
    ['24', rational(25, 2), '12.5'],
    ['24', rational(2500, 3), '833.3333333333334'],
  ])('in place of %s', (written, rate, expected) => {
    const text = sample.replace('"rate": 24', `"rate": ${written}`);
    const span = readText(text).clips[0]?.start?.rateSpan;
    if (span === null || span === undefined) throw new Error('no rate was read');
    const after = changed(text, { kind: 'set-rate', span, rate });
    expect(after).toBe(text.replace(`"rate": ${written}`, `"rate": ${expected}`));
    expect(formatRational(readText(after).clips[0]?.start?.rate ?? rational(0))).toBe(formatRational(rate));
  });

  it('that no decimal reads back as is refused', () => {
    expect(changed(sample, { kind: 'set-rate', span: { start: 0, end: 1 }, rate: rational(24001, 1001) })).toContain(
      'refused: 24001/1001',
    );
  });
});

describe('a replacement', () => {
  it('replaces its characters', () => {
    const start = sample.indexOf('"a"');
    expect(changed(sample, { kind: 'replace', span: { start, end: start + 3 }, newText: '"b"' })).toBe(
      sample.replace('"a"', '"b"'),
    );
  });

  it('outside the text is refused', () => {
    expect(changed(sample, { kind: 'replace', span: { start: 0, end: sample.length + 1 }, newText: '' })).toContain('refused:');
  });
});

describe('an acceptance', () => {
  const accept: Change = { kind: 'accept', clip: 0, code: 'sound-lags', reason: 'Echo of the "far" wall' };
  const written = { code: 'sound-lags', reason: 'Echo of the "far" wall' };
  const other = { code: 'sound-leads', reason: 'told to' };

  const metadataCases: readonly (readonly [string, unknown, readonly unknown[]])[] = [
    ['nothing', undefined, [written]],
    ['null', null, [written]],
    ['an empty object', {}, [written]],
    ['metadata of others', { vendor: { take: 4 } }, [written]],
    ['an empty object of ours', { afterclap: {} }, [written]],
    ['null of ours', { afterclap: null }, [written]],
    ['something else of ours', { afterclap: { note: 'x' } }, [written]],
    ['an empty list', { afterclap: { accept: [] } }, [written]],
    ['null for a list', { afterclap: { accept: null } }, [written]],
    ['one acceptance in a list', { afterclap: { accept: [other] } }, [other, written]],
    ['one acceptance alone', { afterclap: { accept: other } }, [other, written]],
    ['the same one already', { afterclap: { accept: [written] } }, [written]],
  ];

  describe.each([
    ['four blanks', (value: unknown): string => JSON.stringify(value, null, 4)],
    ['tabs and CRLF', (value: unknown): string => JSON.stringify(value, null, '\t').replaceAll('\n', '\r\n')],
    ['one line', (value: unknown): string => JSON.stringify(value)],
  ])('in a file laid out with %s', (_layout, layOut) => {
    it.each(metadataCases)('beside %s', (_what, metadata, expected) => {
      const before = timeline([track('Audio', [clip('a', range(100, 48), { metadata }), clip('b', range(0, 1))])]);
      const text = layOut(before);
      const after = changed(text, accept);
      // Everything else means what it meant, and the clip accepts what it should.
      const [first] = JSON.parse(after).tracks.children[0].children;
      expect([first.metadata.afterclap.accept].flat()).toEqual(expected);
      expect(withoutAccept(JSON.parse(after))).toEqual(withoutAccept(JSON.parse(text)));
      expect(readText(after).acceptances.map(({ code, reason, clips }) => ({ code, reason, clips }))).toEqual(
        expected.map((one) => ({ ...(one as typeof written), clips: [0] })),
      );
      // Only insertions, unless an empty value had to make room.
      expect(isSubsequence(text.replace(/"(metadata|afterclap|accept)":\s*(null|\{\}|\[\])/g, ''), after)).toBe(true);
    });
  });

  it('is laid out like the rest of the file', () => {
    const text = JSON.stringify(timeline([track('Audio', [clip('a', range(100, 48))])]), null, 4);
    const wanted = JSON.parse(text);
    wanted.tracks.children[0].children[0].metadata = { afterclap: { accept: [written] } };
    expect(changed(text, accept)).toBe(JSON.stringify(wanted, null, 4));
  });

  it('goes into an empty object as if it had been there', () => {
    const text = JSON.stringify(timeline([track('Audio', [clip('a', range(100, 48), { metadata: {} })])]), null, 2);
    const wanted = JSON.parse(text);
    wanted.tracks.children[0].children[0].metadata = { afterclap: { accept: [written] } };
    expect(changed(text, accept)).toBe(JSON.stringify(wanted, null, 2));
  });

  it('is not put where something else stands', () => {
    const text = JSON.stringify(timeline([track('Audio', [clip('a', range(100, 48), { metadata: { afterclap: 'mine' } })])]));
    expect(changed(text, accept)).toContain('refused: metadata.afterclap of this clip holds something else');
  });

  it('counts for a clip, a track, a stack, or everything', () => {
    const metadata = (code: string): object => ({ afterclap: { accept: { code, reason: 'r' } } });
    const text = JSON.stringify(
      timeline(
        [
          track('Audio', [clip('a', range(0, 1), { metadata: metadata('on-clip') }), clip('b', range(0, 1))], {
            metadata: metadata('on-track'),
          }),
          track('Audio', [clip('c', range(0, 1))]),
        ],
        { metadata: metadata('on-timeline') },
      ),
    );
    expect(readText(text).acceptances.map(({ code, clips }) => [code, clips])).toEqual([
      ['on-timeline', 'all'],
      ['on-clip', [0]],
      ['on-track', [0, 1]],
    ]);
  });

  it('without a reason does not count, which is said', () => {
    const text = JSON.stringify(
      timeline([track('Audio', [clip('a', range(0, 1), { metadata: { afterclap: { accept: [{ code: 'sound-lags' }] } } })])]),
    );
    const cut = readText(text);
    expect(cut.acceptances).toEqual([]);
    expect(cut.observations.map((one) => ('message' in one ? one.message : ''))).toEqual([
      expect.stringContaining('gives no reason'),
    ]);
  });
});

function withoutAccept(value: unknown): unknown {
  return JSON.parse(
    JSON.stringify(value, (key, inner) => {
      if (key === 'accept') return undefined;
      if (key !== 'afterclap' && key !== 'metadata') return inner;
      return inner === null || Object.keys(inner).every((name) => name === 'accept' || name === 'afterclap') ? undefined : inner;
    }),
  );
}

/** True when `part` can be had from `whole` by leaving characters out. */
function isSubsequence(part: string, whole: string): boolean {
  let at = 0;
  for (const character of whole) if (character === part[at]) at += 1;
  return at === part.length;
}
