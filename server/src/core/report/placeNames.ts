/**
 * Places as people and terminals read them: `path:line:column`, from 1.
 */

import { buildLineIndex, type LineIndex, positionAt } from '../text/lineIndex.ts';
import type { Span } from '../text/span.ts';
import { visibleText } from './visibleText.ts';

export interface PlaceNames {
  /** Null when the text is not at hand. */
  readonly indexOf: (path: string) => LineIndex | null;
  /** The path alone when the text is not at hand. */
  readonly name: (path: string, span: Span) => string;
}

/** Lines are counted once for each text, and only when a place in it is named. */
export function placeNames(texts: ReadonlyMap<string, string>): PlaceNames {
  const indices = new Map<string, LineIndex>();
  const indexOf = (path: string): LineIndex | null => {
    const known = indices.get(path);
    if (known !== undefined) return known;
    const text = texts.get(path);
    if (text === undefined) return null;
    const index = buildLineIndex(text);
    indices.set(path, index);
    return index;
  };
  const name = (path: string, span: Span): string => {
    const index = indexOf(path);
    if (index === null) return visibleText(path);
    const { line, column } = positionAt(index, span.start);
    return `${visibleText(path)}:${line + 1}:${column + 1}`;
  };
  return { indexOf, name };
}
