/**
 * The word a person most likely meant, for messages that end in 'did you mean ...?'.
 *
 * Distance is the number of single characters to insert, remove, replace or swap with their neighbour (restricted
 * Damerau-Levenshtein, from memory), case left out: the slips of typing.
 */

/** Longer words are not compared: no name of ours is that long, and the cost is the product of both lengths. */
const LONGEST_WORD = 200;

/** Three letters of a word are worth completing: `warn` means warning. */
const SHORTEST_BEGINNING = 3;

/**
 * The only one of `candidates` that begins with what was written, else the nearest, the first of equally near ones; null when
 * none is near enough to be worth a guess.
 */
export function nearestName(written: string, candidates: Iterable<string>): string | null {
  if (written.length === 0 || written.length > LONGEST_WORD) return null;
  const wanted = written.toLowerCase();
  const words = [...candidates];
  const longer = written.length < SHORTEST_BEGINNING ? null : onlyOneBeginningWith(wanted, words);
  if (longer !== null) return longer;
  let best: string | null = null;
  let smallest = Math.max(1, Math.floor(written.length / 3)) + 1;
  for (const candidate of words) {
    if (candidate.length > LONGEST_WORD || Math.abs(candidate.length - written.length) >= smallest) continue;
    const found = typingDistance(wanted, candidate.toLowerCase());
    if (found < smallest) {
      smallest = found;
      best = candidate;
    }
  }
  return best;
}

function onlyOneBeginningWith(beginning: string, candidates: readonly string[]): string | null {
  let found: string | null = null;
  for (const candidate of candidates) {
    if (!candidate.toLowerCase().startsWith(beginning)) continue;
    if (found !== null) return null;
    found = candidate;
  }
  return found;
}

/** Single-character slips between two words. */
function typingDistance(left: string, right: string): number {
  let beforePrevious: number[] = [];
  let previous = Array.from({ length: right.length + 1 }, (_, index) => index);
  for (let row = 1; row <= left.length; row += 1) {
    const current = [row];
    for (let column = 1; column <= right.length; column += 1) {
      const isSame = left.charCodeAt(row - 1) === right.charCodeAt(column - 1);
      let least = Math.min(
        (previous[column] as number) + 1,
        (current[column - 1] as number) + 1,
        (previous[column - 1] as number) + (isSame ? 0 : 1),
      );
      const isSwap =
        row > 1 &&
        column > 1 &&
        left.charCodeAt(row - 1) === right.charCodeAt(column - 2) &&
        left.charCodeAt(row - 2) === right.charCodeAt(column - 1);
      if (isSwap) least = Math.min(least, (beforePrevious[column - 2] as number) + 1);
      current.push(least);
    }
    beforePrevious = previous;
    previous = current;
  }
  return previous[right.length] as number;
}
