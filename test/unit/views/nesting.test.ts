/**
 * One step up, one step down, in all formats. The nested timeline is an invention of this test; its nesting is that of the OTIO
 * documentation ('Timeline Structure': stacks hold tracks, tracks hold clips and further stacks).
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Audit } from '../../../server/src/core/audit.ts';
import { heldBy, holdersOf, type NestingItem, type NestingPlace, nestingAt } from '../../../server/src/core/views/nesting.ts';
import { auditMarked, readMarks, SMALL_EDL } from '../../support/marked.ts';

const fixture = (name: string): string => readFileSync(join(import.meta.dirname, '..', '..', 'fixtures', 'editor', name), 'utf8');
const time = (value: number): object => ({ OTIO_SCHEMA: 'RationalTime.1', rate: 25, value });
const range = (start: number, length: number): object => ({
  OTIO_SCHEMA: 'TimeRange.1',
  start_time: time(start),
  duration: time(length),
});
const clip = (name: string, file: string): object => ({
  OTIO_SCHEMA: 'Clip.2',
  name,
  source_range: range(0, 50),
  media_references: { DEFAULT_MEDIA: { OTIO_SCHEMA: 'ExternalReference.1', target_url: `media/${file}` } },
  active_media_reference_key: 'DEFAULT_MEDIA',
});
const track = (name: string, children: readonly object[]): object => ({ OTIO_SCHEMA: 'Track.1', name, kind: 'Video', children });
const stack = (name: string, children: readonly object[]): object => ({ OTIO_SCHEMA: 'Stack.1', name, children });

/** Picture in a stack within a stack; the same camera file once more beside it. */
const NESTED = JSON.stringify(
  {
    OTIO_SCHEMA: 'Timeline.1',
    name: 'Weir',
    tracks: stack('', [
      track('V1', [
        clip('gate, wide', 'CAM_A.mov'),
        { OTIO_SCHEMA: 'Gap.1', source_range: range(0, 10) },
        stack('gate, both', [track('lower', [clip('gate, close', 'cam_a.MOV')]), track('upper', [clip('sign', 'CAM_B.mov')])]),
      ]),
    ]),
  },
  null,
  2,
);

function at(result: Audit, mark: string, inside = 1): NestingItem {
  const found = nestingAt(result, result.input.text.indexOf(mark) + inside);
  if (found === null) throw new Error(`nothing nests at ${mark}`);
  return found;
}

const back = ({ kind, name, span }: NestingItem): NestingPlace => ({ kind, name, start: span.start });
const named = ({ kind, name, detail }: NestingItem): string => `${kind} ${name}${detail === '' ? '' : ` (${detail})`}`;
const up = (result: Audit, item: NestingItem): readonly NestingItem[] => holdersOf(result, back(item)).map((link) => link.item);
const down = (result: Audit, item: NestingItem): readonly NestingItem[] => heldBy(result, back(item)).map((link) => link.item);

/** The chain of first holders. */
function chain(result: Audit, item: NestingItem): readonly string[] {
  const [holder] = up(result, item);
  return holder === undefined ? [named(item)] : [named(item), ...chain(result, holder)];
}

describe('nesting in OTIO', () => {
  const result = auditMarked('otio', NESTED);

  it('leads from a clip through its track and every stack to the timeline', () => {
    expect(chain(result, at(result, 'gate, close'))).toEqual([
      'clip gate, close (00:00:02:10 to 00:00:04:10)',
      'track lower (1 item)',
      'stack gate, both',
      'track V1 (3 items)',
      'timeline Weir',
    ]);
  });

  it('leads down to all that is held, without gaps', () => {
    expect(down(result, at(result, 'Weir')).map(named)).toEqual(['track V1 (3 items)']);
    expect(down(result, at(result, '"V1"')).map(({ name }) => name)).toEqual(['gate, wide', 'gate, both']);
    expect(down(result, at(result, 'gate, both')).map(({ name }) => name)).toEqual(['lower', 'upper']);
    expect(down(result, at(result, 'sign')).map(named)).toEqual(['media CAM_B.mov']);
    expect(down(result, at(result, 'CAM_B.mov'))).toEqual([]);
  });

  it('leads from media, under the caret on its name, to every clip that shows it, however its name is spelt', () => {
    const media = at(result, 'CAM_A.mov');
    expect(media).toMatchObject({ kind: 'media', name: 'CAM_A.mov' });
    const users = holdersOf(result, back(media));
    expect(users.map(({ item }) => item.name)).toEqual(['gate, wide', 'gate, close']);
    expect(users.map((link) => NESTED.slice(link.at.start, link.at.end))).toEqual(['media/CAM_A.mov', 'media/cam_a.MOV']);
  });

  it('knows media by its address, its name and its reel', () => {
    const reference = '"name": "first camera", "metadata": { "reel": "A001" }, "target_url": "media/CAM_A.mov"';
    const named = auditMarked('otio', NESTED.replace('"target_url": "media/CAM_A.mov"', reference));
    for (const mark of ['first camera', 'A001', 'CAM_A.mov']) expect(at(named, mark)).toEqual(at(named, 'CAM_A.mov'));
    expect(at(named, 'gate, wide')).toMatchObject({ kind: 'clip' });
  });

  it('says where the holder names what it holds', () => {
    const [link] = heldBy(result, back(at(result, 'gate, both')));
    expect(NESTED.slice(link?.at.start, link?.at.end)).toBe('lower');
  });

  it('takes a gap for the track it stands on', () => {
    expect(named(at(result, 'Gap.1'))).toBe('track V1 (3 items)');
  });
});

describe('nesting in neutral XML', () => {
  const text = fixture('interview.timeline.xml');
  const result = auditMarked('xml', text, fixture('day1.alignment.json'));

  it('leads from a clip to the timeline, and from listed media to its clips', () => {
    expect(chain(result, at(result, 'Interview, answer'))).toEqual([
      'clip Interview, answer (01:00:05:00 to 01:00:09:00)',
      'track V1 (4 items)',
      'stack Stack',
      'timeline Workshop interview',
    ]);
    expect(down(result, at(result, 'Workshop')).map(named)).toEqual(['stack Stack']);
    for (const mark of ['DECK_0001.wav', '<Id>deck']) {
      const users = holdersOf(result, back(at(result, mark)));
      expect(users).toHaveLength(4);
      // The clip names its media by an Id that is in no span, so its own name stands for it.
      expect(users.map((link) => text.slice(link.at.start, link.at.end))).toEqual(users.map(({ item }) => item.name));
    }
  });

  it('takes media that no clip shows for the timeline', () => {
    const unused = text.replace(
      '</MediaReferences>',
      '<ExternalReference><Id>x</Id><TargetUrl>x.wav</TargetUrl></ExternalReference></MediaReferences>',
    );
    expect(at(auditMarked('xml', unused, null), 'x.wav').kind).toBe('timeline');
  });
});

describe('nesting in an edit list', () => {
  const result = auditMarked('edl', SMALL_EDL);

  it('is events under their title, and the reel of each', () => {
    const { text, caret } = readMarks(SMALL_EDL.replace('004', '0¦04'));
    const event = nestingAt(auditMarked('edl', text), caret) as NestingItem;
    expect(chain(result, event)).toEqual(['event EARLY (A1 01:00:02:00 to 01:00:04:00)', 'timeline SMALL']);
    expect(down(result, event).map(named)).toEqual(['media DECK1']);
    expect(down(result, at(result, 'TITLE'))).toHaveLength(7);
  });

  it('takes the head of a line for the event that begins there', () => {
    expect(at(result, '004', 0).name).toBe('EARLY');
  });

  it('goes by the name of the clip where there is no reel', () => {
    const noReel = auditMarked('edl', SMALL_EDL.replaceAll('DECK1', 'AX   ').replaceAll('CAMA', 'AX  '));
    expect(named(at(noReel, 'EARLY'))).toBe('media EARLY');
    expect(up(noReel, at(noReel, 'EARLY')).map(({ name }) => name)).toEqual(['EARLY']);
    expect(down(noReel, at(noReel, '001'))).toEqual([]);
  });

  it('leads from a reel to its events, each once', () => {
    const twice = auditMarked('edl', SMALL_EDL.replace('DECK1    A     C', 'DECK1    A12   C'));
    expect(up(twice, at(twice, 'DECK1'))).toHaveLength(3);
  });
});

it.each([
  ['otio', NESTED],
  ['otio', fixture('interview.otio')],
  ['xml', fixture('interview.timeline.xml')],
  ['edl', SMALL_EDL],
] as const)('every way down leads back up, and the other way round, in %s', (format, text) => {
  const result = auditMarked(format, text);
  const top = nestingAt(result, text.indexOf(format === 'edl' ? 'TITLE' : format === 'xml' ? '<Timeline' : 'OTIO_SCHEMA'));
  const open = [top as NestingItem];
  let steps = 0;
  for (let item = open.pop(); item !== undefined; item = open.pop()) {
    for (const held of down(result, item)) {
      expect(up(result, held)).toContainEqual(item);
      open.push(held);
      steps += 1;
    }
  }
  expect(steps).toBeGreaterThanOrEqual(10);
});

describe('an item that comes back', () => {
  it('is found by its name where lines were put before it, though another event now stands where it stood', () => {
    const before = auditMarked('edl', SMALL_EDL.replace('EARLY', 'SECOND'));
    const item = at(before, '004');
    const line = (SMALL_EDL.match(/^003.*\n/m) as RegExpMatchArray)[0];
    const after = auditMarked('edl', before.input.text.replace(line, line + line));
    expect(up(after, item).map(named)).toEqual(['timeline SMALL']);
    expect(down(after, item).map(named)).toEqual(['media DECK1']);
  });

  it('is found by its place where its name was changed, and of several of one name the nearest is meant', () => {
    const before = auditMarked('otio', NESTED);
    const track = at(before, '"lower"');
    expect(down(auditMarked('otio', NESTED.replace('"lower"', '"under"')), track).map(({ name }) => name)).toEqual([
      'gate, close',
    ]);
    const both = NESTED.replace('"upper"', '"lower"');
    const second = { ...back(track), start: both.lastIndexOf('Track.1') };
    expect(heldBy(auditMarked('otio', both), second).map((link) => link.item.name)).toEqual(['sign']);
  });

  it('leads nowhere once it is gone', () => {
    const empty = auditMarked('otio', '{}');
    const item = at(auditMarked('otio', NESTED), 'sign');
    expect([up(empty, item), down(empty, item), nestingAt(empty, 0)]).toEqual([[], [], null]);
    expect(holdersOf(empty, { kind: 'media', name: 'CAM_A.mov', start: 0 })).toEqual([]);
  });
});
