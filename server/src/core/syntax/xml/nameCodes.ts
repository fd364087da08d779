/**
 * What the names of tags mean, remembered until a namespace declaration changes that.
 *
 * The parser hands out a new string for every tag, and hashing each is a tenth of the reader's own time. Elements come in
 * much the same order over and over, so the name that followed the present one last time is compared with the text first.
 */

export interface NameCodes {
  /** The code of `name`, which stands in the text at `start`. */
  readonly lookUp: (name: string, start: number) => number;
  /** Prefixes are bound otherwise now. */
  readonly forget: () => void;
}

interface KnownName {
  readonly name: string;
  readonly code: number;
  /** The name that came after this one last time. */
  next: KnownName | null;
}

export function createNameCodes(text: string, resolve: (name: string) => number): NameCodes {
  const known = new Map<string, KnownName>();
  let last: KnownName | null = null;
  return {
    lookUp: (name, start) => {
      const guess = last?.next ?? null;
      if (guess !== null && guess.name.length === name.length && text.startsWith(guess.name, start)) {
        last = guess;
        return guess.code;
      }
      let found = known.get(name);
      if (found === undefined) {
        found = { name, code: resolve(name), next: null };
        known.set(name, found);
      }
      if (last !== null) last.next = found;
      last = found;
      return found.code;
    },
    forget: () => {
      known.clear();
      last = null;
    },
  };
}
