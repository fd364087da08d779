/**
 * Properties of the XML room, over random cuts and random damage.
 *
 * The random cut is described in plain numbers, written as XML in a random layout (order of children, white space,
 * comments, prefix, spelling of numbers), and its positions are worked out beside in BigInt fractions.
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Change } from '../../server/src/core/formats/timelineFormat.ts';
import { xmlFormat } from '../../server/src/core/formats/xml/xmlFormat.ts';
import type { Span } from '../../server/src/core/text/span.ts';
import { applyEdits } from '../../server/src/core/text/textEdit.ts';
import { formatRational, rational } from '../../server/src/core/time/rational.ts';
import type { OutlineNode, Timeline } from '../../server/src/core/timeline/model.ts';
import { type Fraction, fraction, fractionText, over, plus } from '../support/fraction.ts';
import { readXml, SMALL_CUT } from '../unit/xml/xmlSupport.ts';

type RatePair = readonly [numerator: number, denominator: number];

interface RandomClip {
  readonly kind: 'clip' | 'gap';
  readonly name: string;
  readonly media: number;
  readonly rate: RatePair | null;
  readonly entryPoint: bigint;
  readonly length: number;
  readonly scalar: RatePair | null;
  readonly isEnabled: boolean;
  readonly layout: number;
}

interface RandomTrack {
  readonly kind: 'Video' | 'Audio';
  readonly rate: RatePair | null;
  readonly items: readonly RandomClip[];
}

interface RandomCut {
  readonly rate: RatePair;
  readonly media: readonly { readonly rate: RatePair; readonly available: readonly [start: number, length: number] | null }[];
  readonly tracks: readonly RandomTrack[];
  readonly prefix: string;
  readonly layout: number;
}

const RATES: readonly RatePair[] = [
  [24000, 1001],
  [24, 1],
  [25, 1],
  [30000, 1001],
  [60000, 1001],
  [48000, 1],
  [44100, 1],
  [48048, 1],
];

const anyRate = fc.constantFrom(...RATES);
const frameRate = fc.constantFrom(...RATES.slice(0, 5));
// Names with everything that has to be escaped, and with characters beyond the basic plane.
const anyName = fc.stringMatching(/^[A-Za-z0-9&<>"'é😀 ._-]{0,12}$/u);

const anyItem: fc.Arbitrary<RandomClip> = fc.record({
  kind: fc.constantFrom('clip', 'clip', 'clip', 'gap'),
  name: anyName,
  media: fc.nat(2),
  rate: fc.option(anyRate),
  entryPoint: fc.oneof(fc.bigInt(0n, 1_000_000n), fc.bigInt(0n, 10n ** 20n)),
  length: fc.nat(100_000),
  scalar: fc.option(fc.tuple(fc.integer({ min: -3000, max: 3000 }), fc.integer({ min: 1, max: 1001 }))),
  isEnabled: fc.boolean(),
  layout: fc.nat(1000),
});

const anyCut: fc.Arbitrary<RandomCut> = fc.record({
  rate: frameRate,
  media: fc.array(fc.record({ rate: anyRate, available: fc.option(fc.tuple(fc.nat(5_000_000), fc.nat(1_000_000))) }), {
    minLength: 3,
    maxLength: 3,
  }),
  tracks: fc.array(
    fc.record({ kind: fc.constantFrom('Video', 'Audio'), rate: fc.option(anyRate), items: fc.array(anyItem, { maxLength: 6 }) }),
    { maxLength: 4 },
  ),
  prefix: fc.constantFrom('', 'cut:', 'a-b.c:'),
  layout: fc.nat(1000),
});

const COMMENTS = ['', '<!-- & <Clip> ]]> -->', '<?note a > b ?>'];

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&#62;');
}

function writeCut(cut: RandomCut): string {
  const p = cut.prefix;
  const line = ['\n', '', '\r\n\t'][cut.layout % 3] as string;
  const comment = COMMENTS[cut.layout % COMMENTS.length] as string;
  const tag = (name: string, content: string, attributes = ''): string =>
    `<${p}${name}${attributes}>${content}</${p}${name}>${line}`;
  const rate = ([numerator, denominator]: RatePair): string => tag('EditRate', `${numerator} ${denominator}`);
  const number = (value: bigint | number, layout: number): string =>
    [`${value}`, ` ${value}\n`, `${value}<!-- checked -->`, `\t<!-- 7 -->${value}`][layout % 4] as string;
  const media = cut.media.map(({ rate: ofMedia, available }, index) =>
    tag(
      'ExternalReference',
      tag('Id', `file-${index}`) +
        tag('TargetUrl', `FILE_${index}.mov`) +
        rate(ofMedia) +
        (available === null
          ? ''
          : tag('AvailableRange', tag('StartTime', `${available[0]}`) + tag('Duration', `${available[1]}`))),
    ),
  );
  const tracks = cut.tracks.map((track) =>
    tag(
      'Track',
      (track.rate === null ? '' : rate(track.rate)) + track.items.map((item) => writeItem(item)).join(comment),
      ` kind="${track.kind}"`,
    ),
  );
  const children = [
    tag('ContentTitle', 'Random'),
    rate(cut.rate),
    tag('MediaReferences', media.join('')),
    tag('Stack', tracks.join('')),
  ];
  const ordered = [...children.slice(cut.layout % 4), ...children.slice(0, cut.layout % 4)];
  const declaration = p === '' ? 'xmlns' : `xmlns:${p.slice(0, -1)}`;
  return `${comment}${line}<${p}Timeline ${declaration}='urn:afterclap:timeline:1'>${ordered.join('')}</${p}Timeline>`;

  function writeItem(item: RandomClip): string {
    const own = item.rate === null ? '' : rate(item.rate);
    const length = tag('SourceDuration', number(item.length, item.layout));
    if (item.kind === 'gap') return tag('Gap', own + length);
    const parts = [
      tag('Name', escaped(item.name)),
      tag('TrackFileId', `file-${item.media}`),
      own,
      tag('EntryPoint', number(item.entryPoint, item.layout + 1)),
      length,
      item.scalar === null ? '' : tag('TimeScalar', item.scalar.join(item.layout % 2 === 0 ? ' ' : '/')),
    ];
    const turned = [...parts.slice(item.layout % 6), ...parts.slice(0, item.layout % 6)];
    return tag('Clip', turned.join(item.layout % 5 === 0 ? comment : ''), item.isEnabled ? '' : " enabled = 'false'");
  }
}

function expectedClips(cut: RandomCut): readonly object[] {
  const asFraction = ([numerator, denominator]: RatePair): Fraction => fraction(numerator, denominator);
  return cut.tracks.flatMap((track) => {
    let place = fraction(0);
    return track.items.flatMap((item) => {
      const rate = asFraction(item.rate ?? track.rate ?? cut.rate);
      const start = place;
      place = plus(start, over(fraction(item.length), rate));
      if (item.kind === 'gap') return [];
      const media = cut.media[item.media] as RandomCut['media'][number];
      const stamp = media.available === null ? fraction(0) : over(fraction(media.available[0]), asFraction(media.rate));
      return [
        {
          role: track.kind === 'Video' ? 'picture' : 'sound',
          name: item.name.trim() === '' ? `FILE_${item.media}.mov` : item.name.trim(),
          isEnabled: item.isEnabled,
          start: fractionText(start),
          end: fractionText(place),
          sourceStart: fractionText(plus(stamp, over(fraction(item.entryPoint), rate))),
          mediaStart: media.available === null ? null : fractionText(stamp),
          isMediaTime: media.available === null,
          scalar: item.scalar === null ? '1' : fractionText(fraction(item.scalar[0], item.scalar[1])),
          entryPoint: String(item.entryPoint),
          length: String(item.length),
        },
      ];
    });
  });
}

function readClips(text: string, timeline: Timeline): readonly object[] {
  return timeline.clips.map((clip) => ({
    role: clip.role,
    name: clip.name,
    isEnabled: clip.isEnabled,
    start: formatRational(clip.record.start),
    end: formatRational(clip.record.end),
    sourceStart: formatRational(clip.sourceStart),
    mediaStart: clip.media.available === null ? null : formatRational(clip.media.available.start),
    isMediaTime: clip.media.sourceIsMediaTime,
    scalar: clip.speed.kind === 'constant' ? formatRational(clip.speed.scalar) : 'unknown',
    entryPoint: text.slice(clip.start?.span.start, clip.start?.span.end),
    length: text.slice(clip.length?.span.start, clip.length?.span.end),
  }));
}

/** Every span of a timeline, those of the outline included. */
function spansOf(timeline: Timeline): readonly Span[] {
  const spans: (Span | null)[] = [timeline.rateSpan];
  for (const observation of timeline.observations) spans.push(observation.span);
  for (const track of timeline.tracks) spans.push(track.span);
  for (const transition of timeline.transitions) spans.push(transition.span);
  for (const acceptance of timeline.acceptances) spans.push(acceptance.span);
  for (const { media, ...clip } of timeline.clips) {
    spans.push(clip.span, clip.nameSpan, clip.start?.span ?? null, clip.start?.rateSpan ?? null, clip.length?.span ?? null);
    spans.push(clip.speed.span, media.urlSpan, media.nameSpan, media.reelSpan, media.rateSpan);
  }
  const nodes: OutlineNode[] = [...timeline.outline];
  for (let node = nodes.pop(); node !== undefined; node = nodes.pop()) {
    spans.push(node.span, node.nameSpan);
    nodes.push(...node.children);
  }
  return spans.filter((span) => span !== null);
}

function expectSound(text: string): Timeline {
  const timeline = readXml(text);
  const outside = spansOf(timeline).filter(({ start, end }) => !(start >= 0 && start <= end && end <= text.length));
  expect(outside).toEqual([]);
  timeline.clips.forEach((clip, index) => {
    expect(clip.index).toBe(index);
    expect(timeline.tracks[clip.track]?.index).toBe(clip.track);
  });
  return timeline;
}

describe('reading', () => {
  test('a random cut gives the positions worked out beside it, and nothing to report', () => {
    fc.assert(
      fc.property(anyCut, (cut) => {
        const text = writeCut(cut);
        const timeline = expectSound(text);
        expect(timeline.observations).toEqual([]);
        expect(readClips(text, timeline)).toEqual(expectedClips(cut));
      }),
      { numRuns: 300 },
    );
  });

  test('any string gives a timeline whose spans lie inside the text', () => {
    const pieces = fc.constantFrom(
      ...[
        '<',
        '>',
        '/',
        '</',
        '/>',
        '"',
        "'",
        '=',
        '&',
        ';',
        '&#',
        '<!',
        '<!--',
        '-->',
        '<![CDATA[',
        ']]>',
        '<?',
        '?>',
        ' ',
        '\n',
      ],
      ...[
        'Timeline',
        'Stack',
        'Track',
        'Clip',
        'EntryPoint',
        'SourceDuration',
        'Metadata',
        'Accept',
        'kind="Video"',
        ' xmlns="urn:x"',
      ],
      ...[
        '<Timeline xmlns="urn:afterclap:timeline:1">',
        '<Clip>',
        '</Clip>',
        '24',
        '24.5',
        '24000 1001',
        ':',
        '\u0000',
        '\ud83d',
        '\ufeff',
      ],
    );
    const anyText = fc.oneof(
      fc.string({ unit: 'binary', maxLength: 60 }),
      fc.array(pieces, { maxLength: 40 }).map((parts) => parts.join('')),
      fc.array(pieces, { maxLength: 30 }).map((parts) => `<Timeline xmlns="urn:afterclap:timeline:1"><Stack>${parts.join('')}`),
    );
    fc.assert(
      fc.property(anyText, (text) => void expectSound(text)),
      { numRuns: 2000 },
    );
  });

  test('a damaged cut still gives one: any piece cut out, doubled or overwritten', () => {
    const damage = fc.record({
      at: fc.nat(SMALL_CUT.length),
      length: fc.nat(40),
      patch: fc.oneof(
        fc.constant(''),
        fc.constantFrom('<', '>', '"', '&', '</', '<!--', '<Clip>', '</Track>', ']]>'),
        fc.string({ maxLength: 5 }),
      ),
    });
    fc.assert(
      fc.property(damage, ({ at, length, patch }) => {
        expectSound(SMALL_CUT.slice(0, at) + patch + SMALL_CUT.slice(at + length));
        expectSound(SMALL_CUT.slice(0, at + length) + SMALL_CUT.slice(at));
      }),
      { numRuns: 1000 },
    );
  });

  test('a text cut off anywhere says so, and keeps the clips that were complete', () => {
    for (let part = 0; part < 50; part += 1) {
      const text = SMALL_CUT.slice(0, Math.floor((SMALL_CUT.length * part) / 50));
      const timeline = expectSound(text);
      expect(timeline.observations.length).toBeGreaterThan(0);
      const complete = text.split('</Clip>').length - 1;
      expect(timeline.clips.length).toBeGreaterThanOrEqual(complete);
    }
  });

  test('one element without its end tag takes no other clip with it', () => {
    const endTags = [...SMALL_CUT.matchAll(/<\/(Name|TrackFileId|EntryPoint|SourceDuration|Clip|Gap|Track)>/g)];
    for (const { index, 0: tag } of endTags) {
      const timeline = expectSound(SMALL_CUT.slice(0, index) + SMALL_CUT.slice(index + tag.length));
      expect(timeline.observations.map(({ kind }) => kind)).toEqual(['unreadable']);
      expect(timeline.clips.map((clip) => clip.name)).toEqual(['Quay wide', 'Quay close', 'Quay wide']);
    }
  });

  test('inserted white space between elements changes no number and no observation', () => {
    fc.assert(
      fc.property(anyCut, fc.constantFrom(' ', '\n\n', '\t<!-- x -->\r\n'), (cut, space) => {
        const text = writeCut(cut);
        const spaced = text.replace(/(<\/[^>]*(?:Clip|Gap|Track|Stack|Name)>)/g, (tag) => tag + space);
        const timeline = readXml(spaced);
        expect(timeline.observations).toEqual([]);
        expect(readClips(spaced, timeline)).toEqual(readClips(text, readXml(text)));
      }),
      { numRuns: 100 },
    );
  });
});

describe('edits', () => {
  test('a new start changes the digits and nothing else, and is read back exactly', () => {
    fc.assert(
      fc.property(anyCut, fc.nat(), fc.nat(10_000_000), (cut, pick, count) => {
        const text = writeCut(cut);
        const timeline = readXml(text);
        if (timeline.clips.length === 0) return;
        const clip = timeline.clips[pick % timeline.clips.length];
        if (clip?.start === undefined || clip.start === null) throw new Error('every random clip has a start');
        const change: Change = { kind: 'set-source-start', clip: clip.index, count: rational(count) };
        const result = xmlFormat.editsFor(text, timeline, change);
        if (!result.ok) throw new Error(result.reason);
        const after = applyEdits(text, result.edits) as string;
        const { start, end } = clip.start.span;
        expect(after).toBe(`${text.slice(0, start)}${count}${text.slice(end)}`);
        const again = readXml(after);
        expect(formatRational(again.clips[clip.index]?.start?.count ?? rational(-1))).toBe(String(count));
        expect(again.observations).toEqual([]);
      }),
      { numRuns: 200 },
    );
  });

  test('an acceptance is an insertion that is read back, and leaves every other clip as it was', () => {
    fc.assert(
      fc.property(anyCut, fc.nat(), fc.stringMatching(/^[a-z<>&"' é😀]{1,20}$/u), (cut, pick, reason) => {
        const text = writeCut(cut);
        const timeline = readXml(text);
        if (timeline.clips.length === 0 || reason.trim() === '') return;
        const index = pick % timeline.clips.length;
        const change: Change = { kind: 'accept', clip: index, code: 'sound-lags', reason };
        const result = xmlFormat.editsFor(text, timeline, change);
        if (!result.ok) throw new Error(result.reason);
        expect(result.edits).toHaveLength(1);
        expect(result.edits.every(({ span }) => span.start === span.end)).toBe(true);
        const after = applyEdits(text, result.edits) as string;
        const again = readXml(after);
        expect(again.observations).toEqual([]);
        expect(again.acceptances).toMatchObject([
          { code: 'sound-lags', reason: reason.replace(/\s+/g, ' ').trim(), clips: [index] },
        ]);
        expect(readClips(after, again)).toEqual(readClips(text, timeline));
      }),
      { numRuns: 200 },
    );
  });

  test('of a damaged cut are made or refused, never thrown, and stay inside the clip', () => {
    const damage = fc.record({
      at: fc.nat(SMALL_CUT.length),
      length: fc.nat(40),
      patch: fc.constantFrom('', '<', '"', '<Clip>'),
    });
    fc.assert(
      fc.property(damage, ({ at, length, patch }) => {
        const text = SMALL_CUT.slice(0, at) + patch + SMALL_CUT.slice(at + length);
        const timeline = readXml(text);
        for (const { index, span } of timeline.clips) {
          const start: Change = { kind: 'set-source-start', clip: index, count: rational(7) };
          const accept: Change = { kind: 'accept', clip: index, code: 'sound-lags', reason: 'kept' };
          for (const change of [start, accept]) {
            const result = xmlFormat.editsFor(text, timeline, change);
            if (!result.ok) continue;
            for (const edit of result.edits) {
              expect(edit.span.start).toBeGreaterThanOrEqual(span.start);
              expect(edit.span.end).toBeLessThanOrEqual(span.end);
            }
          }
        }
      }),
      { numRuns: 300 },
    );
  });
});
