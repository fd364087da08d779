/**
 * Reading JSON at full speed, for readers that are done with the document when they return.
 */

import { returnScanner, scanFast, takeScanner } from './fastScanner.ts';
import { type JsonDocument, parseJson } from './jsonDocument.ts';
import type { Vocabulary } from './vocabulary.ts';

/**
 * What `read` makes of the document of `text`. The document is lent: nothing of it may be kept, since its memory serves the
 * next text. Never throws of itself, on any string.
 */
export function withJson<Result>(text: string, vocabulary: Vocabulary, read: (document: JsonDocument) => Result): Result {
  const scanner = takeScanner();
  if (scanner === null) return read(parseJson(text, vocabulary));
  try {
    return read(scanFast(scanner, text, vocabulary) ?? parseJson(text, vocabulary));
  } finally {
    returnScanner(scanner);
  }
}
