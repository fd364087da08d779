/**
 * What a conversion could not carry over: one entry for each thing, with its clip and its place.
 *
 * Nothing is dropped without an entry here. Where a hundred clips of a track lose the same small thing, the first is named
 * and the others are counted, since a hundred equal sentences are not read.
 */

import type { Span } from '../text/span.ts';

/** The kinds, as the JSON report and the documentation have them, each with what it is about. */
export const LOSS_KINDS = {
  'sub-frame': 'a position between frames, put on a frame',
  unit: 'the same instant, counted in another unit',
  track: 'a track left out, renamed, or moved to a list of its own',
  nesting: 'stacks, trims, segments or repeats worked into single clips',
  effect: 'an effect, colour values or a key',
  metadata: 'what else was written about a thing',
  transition: 'a transition of another kind, place or length',
  marker: 'a marker',
  disabled: 'a disabled clip',
  speed: 'a speed that is not held exactly, or not at all',
  media: 'names, addresses or kinds of media',
  name: 'a name given, changed or left out',
  'drop-frame': 'the way timecode is counted',
  'time-stamp': 'where files, or the timeline itself, begin',
  rate: 'a frame rate that the file does not state',
  gap: 'silence or black at the start or the end',
  comment: 'comments and lines of free text',
  acceptance: 'an accepted finding',
  'other-timeline': 'a further timeline of the same file',
  hidden: 'a clip of which nothing is on record',
  length: 'source and record lengths that differ in the source itself',
  label: 'a timecode label that does not exist, read as another',
  unreadable: 'what could not be read in the first place',
  doubt: 'a clip whose place is doubtful',
  identifier: 'identifiers of a composition',
  check: 'what reads back otherwise than it was written',
} as const;

export type LossKind = keyof typeof LOSS_KINDS;

export interface Loss {
  readonly kind: LossKind;
  /** Full sentences: what cannot be held, what stands there instead. The clip is named by its place, not in here. */
  readonly message: string;
  /** Index into the clips of the source; null when it is about no single clip. */
  readonly clip: number | null;
  /** Index into the tracks of the source; null when it is about none. Of a clip, its track. */
  readonly track: number | null;
  /** Where it stands in the source text; null when nothing there says it. */
  readonly span: Span | null;
}

export interface LossLog {
  readonly tell: (loss: Loss) => void;
  /**
   * The same for a number of clips: those with one `key` become one entry on the first, whose message is `message(count)`.
   */
  readonly tellAlike: (key: string, loss: Omit<Loss, 'message'>, message: (count: number) => string) => void;
  /** What has been told of a clip changes its place, its source or its speed, so that it will not read back the same. */
  readonly excuse: (clip: number) => void;
  readonly isExcused: (clip: number) => boolean;
  /** True when something of one of these kinds has been told, whatever it is about. */
  readonly hasKind: (...kinds: readonly LossKind[]) => boolean;
  /** In the order of the source text; what stands nowhere comes last. */
  readonly losses: () => readonly Loss[];
}

export function createLossLog(): LossLog {
  const told: Loss[] = [];
  const alike = new Map<
    string,
    { readonly loss: Omit<Loss, 'message'>; readonly message: (count: number) => string; count: number }
  >();
  const excused = new Set<number>();
  const kinds = new Set<LossKind>();
  return {
    tell: (loss) => {
      kinds.add(loss.kind);
      told.push(loss);
    },
    tellAlike: (key, loss, message) => {
      kinds.add(loss.kind);
      const known = alike.get(key);
      if (known === undefined) alike.set(key, { loss, message, count: 1 });
      else known.count += 1;
    },
    excuse: (clip) => {
      excused.add(clip);
    },
    isExcused: (clip) => excused.has(clip),
    hasKind: (...wanted) => wanted.some((kind) => kinds.has(kind)),
    losses: () => {
      const counted = [...alike.values()].map(({ loss, message, count }) => ({ ...loss, message: message(count) }));
      return [...told, ...counted].toSorted((left, right) => placeOf(left) - placeOf(right));
    },
  };
}

function placeOf({ span }: Loss): number {
  return span === null ? Number.POSITIVE_INFINITY : span.start;
}
