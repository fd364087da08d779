/**
 * The reel column: eight characters, letters and digits, one name for each reel.
 *
 * Two long names that begin alike must not become one reel, so a name that is cut short and taken gets a number at its end.
 * The full name stands in a comment below the event, where this reader finds it.
 */

import type { Clip } from '../timeline/model.ts';
import { generatorOf } from './generators.ts';
import type { LossLog } from './loss.ts';
import { clipLoss } from './tell.ts';

export interface EdlReel {
  readonly column: string;
  /** The name in full, when the column does not hold it. */
  readonly full: string | null;
}

const WIDTH = 8;
const PLAIN = /^[A-Za-z0-9_-]{1,8}$/;
/** Column words that name no tape. */
const SPECIAL = new Set(['AX', 'BL', 'BLACK', 'BARS']);

/** Answers for the clips of one list; `null` stands for black. */
export function edlReels(log: LossLog): (clip: Clip | null) => EdlReel {
  const columns = new Map<string, string>();
  const taken = new Set<string>();
  const told = new Set<string>();
  return (clip) => {
    if (clip === null) return { column: 'BL', full: null };
    if (clip.media.kind === 'generator') return { column: generatorColumn(clip, log), full: null };
    const { reel } = clip.media;
    if (reel === null) return { column: 'AX', full: null };
    const column = columns.get(reel) ?? newColumn(reel, taken);
    columns.set(reel, column);
    taken.add(column.toUpperCase());
    if (column === reel) return { column, full: null };
    if (!told.has(reel)) {
      told.add(reel);
      const message = `Its reel '${reel}' does not fit the eight letters and digits of the reel column. It is written as ${column}, with the full name in a comment below each event.`;
      log.tell(clipLoss('media', clip, message, clip.media.reelSpan));
    }
    return { column, full: reel };
  };
}

function newColumn(reel: string, taken: ReadonlySet<string>): string {
  const plain = PLAIN.test(reel) ? reel : reel.replace(/[^A-Za-z0-9_-]/g, '_').slice(0, WIDTH);
  const base = plain === '' ? 'REEL' : plain;
  for (let number = 1; ; number += 1) {
    const suffix = number === 1 ? '' : String(number);
    const column = `${base.slice(0, WIDTH - suffix.length)}${suffix}`;
    if (!taken.has(column.toUpperCase()) && !SPECIAL.has(column.toUpperCase())) return column;
  }
}

function generatorColumn(clip: Clip, log: LossLog): string {
  const { kind, name } = generatorOf(clip);
  if (kind === 'black') return 'BL';
  if (kind === 'bars') return 'BARS';
  const message = `It shows '${name}', which is made and not read from a file. A list knows black and bars only; it is written as AX.`;
  log.tell(clipLoss('media', clip, message, clip.media.nameSpan));
  return 'AX';
}
