/**
 * Words that name the colour of a marker.
 *
 * Sources: `Marker::Color` (the eleven names), the static colours of `Color` (their values) and the example of a locator in
 * otio-cmx3600-adapter's `make_clip`, all of the OpenTimelineIO project.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { FormatId } from '../../../server/src/core/timeline/model.ts';
import { type Colour, markerColours, namesNear } from '../../../server/src/core/views/markerColours.ts';
import { auditMarked, SMALL_EDL, withMarks } from '../../support/marked.ts';

/** Names and values as the library has them; PINK is the library's MAGENTA, and here a colour of its own. */
const PUBLISHED: Readonly<Record<string, readonly [red: number, green: number, blue: number]>> = {
  RED: [1, 0, 0],
  ORANGE: [1, 0.5, 0],
  YELLOW: [1, 1, 0],
  GREEN: [0, 1, 0],
  CYAN: [0, 1, 1],
  BLUE: [0, 0, 1],
  PURPLE: [0.5, 0, 0.5],
  MAGENTA: [1, 0, 1],
  BLACK: [0, 0, 0],
  WHITE: [1, 1, 1],
};

function marker(color: unknown, schema = 'Marker.2'): object {
  const time = { OTIO_SCHEMA: 'RationalTime.1', rate: 25, value: 5 };
  const range = { OTIO_SCHEMA: 'TimeRange.1', start_time: time, duration: { ...time, value: 0 } };
  return { OTIO_SCHEMA: schema, metadata: {}, name: 'RED', color, [schema === 'Marker.1' ? 'range' : 'marked_range']: range };
}

/** One clip on one track; markers on the clip and on the track. */
function timeline(onClip: readonly unknown[], onTrack: readonly unknown[] = []): string {
  const clip = { OTIO_SCHEMA: 'Clip.2', name: 'a', source_range: null, markers: onClip, metadata: { markers: 'RED' } };
  const track = { OTIO_SCHEMA: 'Track.1', kind: 'Video', markers: onTrack, children: [clip] };
  return JSON.stringify({ OTIO_SCHEMA: 'Timeline.1', tracks: { OTIO_SCHEMA: 'Stack.1', children: [track] } }, null, 2);
}

function wordsOf(format: FormatId, text: string): readonly string[] {
  return markerColours(auditMarked(format, text, null)).map(({ span }) => text.slice(span.start, span.end));
}

describe('the colours of OTIO markers', () => {
  it('are the words of the published set, wherever a marker stands, in capitals or not', () => {
    const names = [...Object.keys(PUBLISHED), 'PINK'];
    expect(wordsOf('otio', timeline(names.map((name) => marker(name))))).toEqual(names);
    expect(wordsOf('otio', timeline([marker('yellow', 'Marker.1')], [marker('Blue')]))).toEqual(
      expect.arrayContaining(['yellow', 'Blue']),
    );
  });

  it('look as the library paints them, and no two alike', () => {
    const found = markerColours(
      auditMarked('otio', timeline([...Object.keys(PUBLISHED), 'PINK'].map((name) => marker(name))), null),
    );
    const colours = found.map(({ colour: { red, green, blue } }) => [red, green, blue]);
    expect(colours.slice(0, -1)).toEqual(Object.values(PUBLISHED));
    expect(new Set(colours.map(String)).size).toBe(11);
  });

  it('are none where the word is another, or no word, or the object no marker', () => {
    const others = [marker('TEAL'), marker(''), marker(null), marker({ OTIO_SCHEMA: 'Color.1', name: 'RED' }, 'Marker.3')];
    const strangers = [marker('RED', 'Effect.1'), { color: 'RED' }, 'RED', [marker('RED')], null];
    expect(wordsOf('otio', timeline([...others, ...strangers]))).toEqual([]);
  });

  it('are found in a text that is broken further down', () => {
    const text = timeline([marker('GREEN')]);
    expect(wordsOf('otio', text.slice(0, text.lastIndexOf(']')))).toEqual(['GREEN']);
  });

  it('spell the word without escapes', () => {
    expect(wordsOf('otio', timeline([marker('RED')]).replace('"color": "RED"', '"color": "\\u0052ED"'))).toEqual([]);
  });
});

describe('the colours of locators', () => {
  it('are the word after the timecode, in every writing of the line that the list may have', () => {
    const lines = [
      '* LOC: 01:00:01:14 ⟦RED⟧     ANIM FIX NEEDED',
      '*LOC:\t01:00:01;14\t⟦green⟧',
      'LOC 01:00:02:00 ⟦Blue⟧ RED',
      '* loc: 01:00:02:00   ⟦CYAN⟧',
    ];
    for (const lineEnd of ['\n', '\r\n', '\r']) {
      const marked = (SMALL_EDL + lines.join('\n')).replaceAll('\n', lineEnd);
      const text = marked.replace(/[⟦⟧]/g, '');
      expect(
        withMarks(
          text,
          markerColours(auditMarked('edl', text)).map(({ span }) => [span, '']),
        ),
      ).toBe(marked);
    }
  });

  it('are none in other comments, without a timecode, in a longer word, or after the end of the list', () => {
    const lines = [
      '* LOC: RED',
      '* LOC: 01:00:01:14 REDDISH',
      '* LOC: 01:00:01:14 RED-ISH',
      '* LOC: 01:00:01:14 X RED',
      '* LOCATION 01:00:01:14 RED',
      '* FROM CLIP NAME: LOC: 01:00:01:14 RED',
      '\x1a',
      '* LOC: 01:00:01:14 RED',
    ];
    expect(wordsOf('edl', SMALL_EDL + lines.join('\n'))).toEqual([]);
  });
});

it('formats whose markers have no colour have none', () => {
  const text = readFileSync(join(import.meta.dirname, '..', '..', 'fixtures', 'editor', 'interview.timeline.xml'), 'utf8');
  expect(wordsOf('xml', text.replace('Interview', 'RED'))).toEqual([]);
});

describe('names for a colour', () => {
  const of = (name: string): Colour => {
    const [red, green, blue] = PUBLISHED[name] as readonly [number, number, number];
    return { red, green, blue };
  };

  it.each(Object.keys(PUBLISHED))('begin with its own, %s, and are the whole set', (name) => {
    const names = namesNear(of(name), 'RED');
    expect(names[0]).toBe(name);
    expect([...names].sort()).toEqual([...Object.keys(PUBLISHED), 'PINK'].sort());
  });

  it('begin with what comes nearest', () => {
    expect(namesNear({ red: 0.9, green: 0.1, blue: 0.1 }, 'GREEN').slice(0, 2)).toEqual(['RED', 'ORANGE']);
    expect(namesNear({ red: 0.1, green: 0.1, blue: 0.2 }, 'GREEN')[0]).toBe('BLACK');
    expect(namesNear({ red: 1, green: 0.7, blue: 0.75 }, 'GREEN')[0]).toBe('PINK');
  });

  it('are written small where the word was', () => {
    expect(namesNear(of('BLUE'), 'red')[0]).toBe('blue');
    expect(namesNear(of('BLUE'), 'Red')[0]).toBe('BLUE');
  });
});

it('every colour is a word of the text, whatever the text', () => {
  const pieces = fc.constantFrom(
    '"markers"',
    ':',
    '[',
    ']',
    '{',
    '}',
    ',',
    '"OTIO_SCHEMA"',
    '"Marker.2"',
    '"color"',
    '"RED"',
    '* LOC: ',
    '01:00:00:00 ',
    'RED',
    '\n',
    '\\',
    '"',
    '\x1a',
  );
  fc.assert(
    fc.property(fc.constantFrom<FormatId>('otio', 'edl'), fc.array(pieces, { maxLength: 60 }), (format, parts) => {
      for (const word of wordsOf(format, parts.join(''))) expect(word).toBe('RED');
    }),
    { numRuns: 500 },
  );
});
