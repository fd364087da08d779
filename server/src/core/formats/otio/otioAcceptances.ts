/**
 * `metadata.afterclap.accept`: findings the file itself accepts, each with a reason.
 *
 * Holds one object with `code` and `reason`, or a list of them. On a clip it counts for that clip, on a track or stack for
 * the clips inside, on the timeline or its topmost stack for everything.
 */

import {
  firstChild,
  type JsonDocument,
  kindOf,
  member,
  nextSibling,
  spanOf,
  stringOf,
  wordOf,
} from '../../syntax/json/jsonDocument.ts';
import { nextAt } from '../../syntax/json/jsonTape.ts';
import type { Span } from '../../text/span.ts';
import { openingSpan, type Reading, reportNote } from './otioReading.ts';
import { ACCEPT, AFTERCLAP } from './otioWords.ts';

export interface WrittenAcceptance {
  readonly code: string;
  readonly reason: string;
  readonly span: Span;
}

/** The acceptances in one object's metadata; empty for nearly all. What is no acceptance is noted. */
export function readAcceptances(reading: Reading, metadataNode: number): readonly WrittenAcceptance[] {
  if (metadataNode === -1) return [];
  const { document } = reading;
  const own = valueUnder(document, metadataNode, AFTERCLAP.number);
  const accept = own === -1 ? -1 : valueUnder(document, own, ACCEPT.number);
  if (accept === -1) return [];
  const entries: number[] = [];
  if (kindOf(document, accept) === 'array') {
    for (let node = firstChild(document, accept); node !== -1; node = nextSibling(document, node)) entries.push(node);
  } else {
    entries.push(accept);
  }
  const acceptances: WrittenAcceptance[] = [];
  for (const node of entries) {
    const code = text(reading, member(document, node, 'code'));
    const reason = text(reading, member(document, node, 'reason'));
    if (code !== '' && reason !== '') {
      acceptances.push({ code, reason, span: spanOf(document, node) });
    } else {
      const lacking = code === '' ? 'names no finding code' : 'gives no reason';
      reportNote(
        reading,
        openingSpan(document, node),
        `This acceptance ${lacking}, so it does not count: expected {"code": "...", "reason": "..."}.`,
      );
    }
  }
  return acceptances;
}

/** As `member`, by the number of a word. */
function valueUnder(document: JsonDocument, object: number, word: number): number {
  if (kindOf(document, object) !== 'object') return -1;
  for (let key = firstChild(document, object); key > 0; key = nextAt(document.tape, key)) {
    if (wordOf(document, key) === word) return key + 1;
  }
  return -1;
}

function text(reading: Reading, node: number): string {
  return node !== -1 && kindOf(reading.document, node) === 'string' ? stringOf(reading.document, node).trim() : '';
}
