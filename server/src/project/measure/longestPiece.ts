/**
 * A take that lost samples is in several pieces, each on a line of its own. A report holds one line, so it is given that of the piece
 * that lasts longest.
 */

import type { MatchWindow, SoundMatch } from '../../sound/delay/match.ts';

const PPM = 1e-6;

export interface PieceOfTake {
  /** The match, its offset being that of the piece. */
  readonly match: SoundMatch;
  /** Windows on the line, all of this piece. */
  readonly windows: readonly MatchWindow[];
  /** Scratch samples between which the piece surely lies. */
  readonly start: number;
  readonly end: number;
}

/** `ratio` is sound samples for each scratch sample by the rates of the files. */
export function longestPiece(match: SoundMatch, ratio: number): PieceOfTake {
  const agreeing = match.windows.filter(({ agrees }) => agrees);
  const { overlap, jumps } = match;
  if (jumps.length === 0) return { match, windows: agreeing, ...overlap };
  const pieces = Array.from({ length: jumps.length + 1 }, (_, index) => ({
    start: index === 0 ? overlap.start : (jumps[index - 1]?.before ?? overlap.start),
    end: jumps[index]?.after ?? overlap.end,
  }));
  const isIn = (index: number, { scratchSample }: MatchWindow): boolean =>
    scratchSample >= (pieces[index]?.start ?? 0) && scratchSample <= (pieces[index]?.end ?? 0);
  let longest = 0;
  pieces.forEach((piece, index) => {
    const known = pieces[longest];
    if (known !== undefined && piece.end - piece.start > known.end - known.start) longest = index;
  });
  const stated = statedPiece(match, ratio, agreeing, isIn, pieces.length);
  const piece = pieces[longest] ?? overlap;
  const between = jumps
    .slice(Math.min(stated, longest), Math.max(stated, longest))
    .reduce((sum, { samples }) => sum + samples, 0);
  const offsetSamples = match.offsetSamples + (longest > stated ? between : -between);
  return { match: { ...match, offsetSamples }, windows: agreeing.filter((window) => isIn(longest, window)), ...piece };
}

/** The piece whose windows lie on the line that the match states. */
function statedPiece(
  match: SoundMatch,
  ratio: number,
  windows: readonly MatchWindow[],
  isIn: (index: number, window: MatchWindow) => boolean,
  count: number,
): number {
  const distance = ({ scratchSample, soundSample }: MatchWindow): number =>
    Math.abs(soundSample - match.offsetSamples - scratchSample * ratio * (1 + match.driftPpm * PPM));
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (const window of windows) {
    for (let index = 0; index < count; index += 1) {
      if (!isIn(index, window) || distance(window) >= least) continue;
      best = index;
      least = distance(window);
    }
  }
  return best;
}
