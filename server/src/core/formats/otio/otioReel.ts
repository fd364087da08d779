/**
 * Reel or tape names. OTIO has no member for them; writers put them into metadata, each under a heading of its own.
 *
 * Looked for: `reel`, `reel_name`, `tape`, `tape_name`, in any capitals, in the metadata itself or one heading down. The
 * clip's own metadata count before those of its media.
 */

import {
  endOf,
  firstChild,
  type JsonDocument,
  keyText,
  kindOf,
  nextSibling,
  startOf,
  stringOf,
} from '../../syntax/json/jsonDocument.ts';

const REEL_NAMES: ReadonlySet<string> = new Set(['reel', 'reel_name', 'tape', 'tape_name']);
/** Lengths of those names, to look closer at few. */
const LIKELY_LENGTHS: ReadonlySet<number> = new Set([4, 8, 9]);
/** Edit list words for media without a reel: auxiliary, black, bars. */
const NO_REEL: ReadonlySet<string> = new Set(['AX', 'BL', 'BLACK', 'BARS', '']);

/** The node of the reel's name; -1 when none of the metadata has one. */
export function findReel(document: JsonDocument, clipMetadata: number, mediaMetadata: number): number {
  const own = findIn(document, clipMetadata);
  return own !== -1 ? own : findIn(document, mediaMetadata);
}

function findIn(document: JsonDocument, metadata: number): number {
  if (metadata === -1 || kindOf(document, metadata) !== 'object') return -1;
  const direct = findDirectly(document, metadata);
  if (direct !== -1) return direct;
  for (let key = firstChild(document, metadata); key !== -1; key = nextSibling(document, key)) {
    if (kindOf(document, key + 1) !== 'object') continue;
    const inner = findDirectly(document, key + 1);
    if (inner !== -1) return inner;
  }
  return -1;
}

function findDirectly(document: JsonDocument, object: number): number {
  for (let key = firstChild(document, object); key !== -1; key = nextSibling(document, key)) {
    const length = endOf(document, key) - startOf(document, key) - 2;
    if (!LIKELY_LENGTHS.has(length) || kindOf(document, key + 1) !== 'string') continue;
    if (!REEL_NAMES.has(keyText(document, key).toLowerCase())) continue;
    if (
      !NO_REEL.has(
        stringOf(document, key + 1)
          .trim()
          .toUpperCase(),
      )
    )
      return key + 1;
  }
  return -1;
}
