/**
 * Places in a text: half-open ranges of UTF-16 offsets.
 *
 * Every layer inside core speaks these; only lsp/ turns them into lines and columns of the client's unit.
 */

/** `start` inclusive, `end` exclusive, both UTF-16 offsets into the document's text. */
export interface Span {
  readonly start: number;
  readonly end: number;
}

export function span(start: number, end: number): Span {
  return { start, end };
}

/** The text a span covers. */
export function textOf(text: string, place: Span): string {
  return text.slice(place.start, place.end);
}

/** True when `offset` lies in the span, its end included: carets sit between characters. */
export function touches(place: Span, offset: number): boolean {
  return place.start <= offset && offset <= place.end;
}
