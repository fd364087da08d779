/**
 * Colours of markers: the words that name one, and the names that come nearest to a colour a person picked.
 *
 * OTIO markers name their colour by a word of a set; so do the locators of edit lists, which the open EDL adapter of the OTIO
 * project takes for the same set. Neutral XML and composition playlists give markers no colour. Other words are allowed and mean
 * something to whoever wrote them: they are left alone.
 *
 * Invariant: a span is exactly the word, so that whoever replaces it changes nothing else.
 *
 * Cost: the document that the audit read is not kept, so a text that has markers is scanned once more (some 6 ms for 10 MB of
 * OTIO); one that has none is only searched for the word (1 ms).
 *
 * Sources: `Marker::Color` and the static colours of `Color` in the OTIO library (0.18); `make_clip` in otio-cmx3600-adapter.
 */

import type { Audit } from '../audit.ts';
import { parseSchema } from '../formats/otio/otioSchemas.ts';
import { MEMBER, OTIO_VOCABULARY } from '../formats/otio/otioWords.ts';
import { LINE, lineKind, valueSpan } from '../syntax/edl/edlTape.ts';
import { scanEdl } from '../syntax/edl/scanEdl.ts';
import {
  firstChild,
  type JsonDocument,
  kindOf,
  member,
  nextSibling,
  spanOf,
  stringOf,
  wordOf,
} from '../syntax/json/jsonDocument.ts';
import { withJson } from '../syntax/json/withJson.ts';
import { type Span, textOf } from '../text/span.ts';

/** Each from 0 to 1. */
export interface Colour {
  readonly red: number;
  readonly green: number;
  readonly blue: number;
}

export interface MarkerColour {
  /** The word, without quotes. */
  readonly span: Span;
  readonly colour: Colour;
}

/**
 * The schema's names say nothing about light. What the library paints them with is taken, but for PINK: it gives that the values of
 * MAGENTA, and two names that look the same could not be told apart; ours is our own choice.
 */
const COLOURS: ReadonlyMap<string, Colour> = new Map(
  (
    [
      ['PINK', 1, 0.75, 0.8],
      ['RED', 1, 0, 0],
      ['ORANGE', 1, 0.5, 0],
      ['YELLOW', 1, 1, 0],
      ['GREEN', 0, 1, 0],
      ['CYAN', 0, 1, 1],
      ['BLUE', 0, 0, 1],
      ['PURPLE', 0.5, 0, 0.5],
      ['MAGENTA', 1, 0, 1],
      ['BLACK', 0, 0, 0],
      ['WHITE', 1, 1, 1],
    ] as const
  ).map(([name, red, green, blue]) => [name, { red, green, blue }]),
);

/** Every word of the set; a text without markers has none. */
export function markerColours({ input: { format, text } }: Audit): readonly MarkerColour[] {
  const spans = format === 'otio' ? wordsInOtio(text) : format === 'edl' ? wordsInEdl(text) : [];
  return spans.flatMap((span) => {
    const named = COLOURS.get(textOf(text, span).toUpperCase());
    return named === undefined ? [] : [{ span, colour: named }];
  });
}

/** All names, the nearest first, in the capitals or small letters of the word they would replace. */
export function namesNear(wanted: Colour, written: string): readonly string[] {
  const distance = ({ red, green, blue }: Colour): number =>
    (red - wanted.red) ** 2 + (green - wanted.green) ** 2 + (blue - wanted.blue) ** 2;
  return [...COLOURS]
    .sort(([, left], [, right]) => distance(left) - distance(right))
    .map(([name]) => (written === written.toLowerCase() ? name.toLowerCase() : name));
}

function wordsInOtio(text: string): readonly Span[] {
  if (!/"markers"\s*:\s*\[\s*[^\s\]]/.test(text)) return [];
  return withJson(text, OTIO_VOCABULARY, (document) => {
    const spans: Span[] = [];
    for (let node = 0; node + 1 < document.nodeCount; node += 1) {
      if (wordOf(document, node) !== MEMBER.markers || kindOf(document, node + 1) !== 'array') continue;
      for (let marker = firstChild(document, node + 1); marker !== -1; marker = nextSibling(document, marker)) {
        const span = colourOf(document, marker);
        if (span !== null) spans.push(span);
      }
    }
    return spans;
  });
}

/** Null where a marker names none: Marker.3, of no release yet, has an object with numbers in its place. */
function colourOf(document: JsonDocument, marker: number): Span | null {
  const schema = member(document, marker, 'OTIO_SCHEMA');
  const named = member(document, marker, 'color');
  if (schema === -1 || named === -1 || kindOf(document, named) !== 'string') return null;
  if (parseSchema(stringOf(document, schema))?.core?.role !== 'marker') return null;
  const { start, end } = spanOf(document, named);
  return { start: start + 1, end: end - 1 };
}

/** The word after the timecode of a locator: `* LOC: 01:00:01:14 RED     MORE AIR`. */
function wordsInEdl(text: string): readonly Span[] {
  if (!/LOC(?!\w)/i.test(text)) return [];
  const tape = scanEdl(text);
  const spans: Span[] = [];
  for (let line = 0; line < tape.lineCount; line += 1) {
    if (lineKind(tape, line) !== LINE.locator) continue;
    const value = valueSpan(tape, line);
    const [before, word] = /^(\d+(?:[:;.,]\d+){3}\s+)([a-z]+)(?!\S)/i.exec(textOf(text, value))?.slice(1) ?? [];
    if (before === undefined || word === undefined) continue;
    const start = value.start + before.length;
    spans.push({ start, end: start + word.length });
  }
  return spans;
}
