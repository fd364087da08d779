/**
 * The keyword at the start of a line and where its value begins.
 *
 * Writers differ in stars, colons, blanks and capitals, so `* FROM CLIP NAME:  x`, `FROM CLIP NAME: x` and `**from clip name x`
 * are one comment. A keyword counts only as a whole word: `LOCATION 4` is no locator and `AUDIO LEVEL` no AUD line.
 */

import { isBlank, isDigit, skipBlanks } from './characters.ts';
import { LINE, type LineKind } from './edlTape.ts';

interface Keyword {
  readonly words: string;
  readonly kind: LineKind;
}

/** A keyword as codes: asking a string for its characters costs more than the comparison. */
interface CodedKeyword {
  readonly codes: Uint8Array;
  readonly kind: LineKind;
}

/** Statements stand without a star. Longer phrases come before their beginnings. */
const STATEMENTS: readonly Keyword[] = [
  { words: 'TITLE', kind: LINE.title },
  { words: 'FCM', kind: LINE.frameCodeMode },
  { words: 'M2', kind: LINE.motion },
  { words: 'AUD', kind: LINE.addedSound },
  { words: 'SPLIT', kind: LINE.split },
  { words: 'GPI', kind: LINE.control },
  { words: 'SWM', kind: LINE.control },
  { words: 'M1', kind: LINE.control },
  { words: 'BLK', kind: LINE.control },
];

const COMMENTS: readonly Keyword[] = [
  { words: 'FROM CLIP NAME', kind: LINE.fromClipName },
  { words: 'FROM CLIP', kind: LINE.fromClip },
  { words: 'FROM FILE', kind: LINE.fromFile },
  { words: 'FREEZE FRAME', kind: LINE.freezeFrame },
  { words: 'TO CLIP NAME', kind: LINE.toClipName },
  { words: 'TO CLIP', kind: LINE.toClip },
  { words: 'TO FILE', kind: LINE.toFile },
  { words: 'SOURCE FILE', kind: LINE.sourceFile },
  { words: 'KEY CLIP NAME', kind: LINE.keyClipName },
  { words: 'EFFECTS NAME IS', kind: LINE.effectName },
  { words: 'EFFECT NAME IS', kind: LINE.effectName },
  { words: 'EFFECT NAME', kind: LINE.effectName },
  { words: 'LOC', kind: LINE.locator },
  { words: 'ASC_SOP', kind: LINE.colour },
  { words: 'ASC_SAT', kind: LINE.colour },
  { words: 'AFTERCLAP ACCEPT', kind: LINE.acceptance },
  { words: 'OTIO REFERENCE FROM', kind: LINE.fromFile },
  { words: 'OTIO REFERENCE TO', kind: LINE.toFile },
  { words: 'OTIO TRUNCATED REEL NAME FROM', kind: LINE.fullReel },
  { words: 'REEL', kind: LINE.reelFile },
];

const STATEMENTS_BY_LETTER = byFirstLetter(STATEMENTS);
const COMMENTS_BY_LETTER = byFirstLetter(COMMENTS);

export interface KeywordMatch {
  kind: LineKind;
  valueStart: number;
}

/**
 * Classifies the line `start..end`, which is not blank and does not begin with a digit, into `match`.
 * Text without a known keyword is a comment whose value is all of it; the caller knows whether it is a header.
 */
export function matchKeyword(units: Uint8Array, start: number, end: number, match: KeywordMatch): void {
  let at = start;
  const isStarred = units[at] === 42;
  while (at < end && (units[at] === 42 || isBlank(units[at] as number))) at += 1;
  if (!isStarred) {
    if (units[start] === 62 && units[start + 1] === 62 && units[start + 2] === 62) {
      match.kind = LINE.control;
      match.valueStart = start;
      return;
    }
    if (matchOneOf(STATEMENTS_BY_LETTER, units, at, end, match)) return;
  }
  if (matchOneOf(COMMENTS_BY_LETTER, units, at, end, match)) return;
  match.kind = LINE.comment;
  match.valueStart = at;
}

function matchOneOf(
  byLetter: readonly (readonly CodedKeyword[])[],
  units: Uint8Array,
  at: number,
  end: number,
  match: KeywordMatch,
): boolean {
  if (at >= end) return false;
  const candidates = byLetter[upperCase(units[at] as number)] as readonly CodedKeyword[];
  for (let index = 0; index < candidates.length; index += 1) {
    const candidate = candidates[index] as CodedKeyword;
    const after = matchWords(units, at, end, candidate.codes);
    if (after !== -1) {
      match.kind = candidate.kind;
      match.valueStart = valueAfter(units, after, end);
      return true;
    }
  }
  return false;
}

/** The offset after the words of `codes` (in capitals, single spaces), blanks between them being free; -1 when they do not stand there. */
function matchWords(units: Uint8Array, start: number, end: number, codes: Uint8Array): number {
  let at = start;
  for (let index = 0; index < codes.length; index += 1) {
    const wanted = codes[index] as number;
    if (wanted === 32) {
      const next = skipBlanks(units, at, end);
      if (next === at) return -1;
      at = next;
    } else {
      if (at >= end || upperCase(units[at] as number) !== wanted) return -1;
      at += 1;
    }
  }
  return at === end || !isWordCharacter(units[at] as number) ? at : -1;
}

function valueAfter(units: Uint8Array, after: number, end: number): number {
  let at = skipBlanks(units, after, end);
  if (at < end && (units[at] === 58 || units[at] === 61)) at = skipBlanks(units, at + 1, end);
  return at;
}

function upperCase(code: number): number {
  return code >= 97 && code <= 122 ? code - 32 : code;
}

function isWordCharacter(code: number): boolean {
  const upper = upperCase(code);
  return (upper >= 65 && upper <= 90) || isDigit(code) || code === 95;
}

/** One list for each code that `textUnits` can give. */
function byFirstLetter(keywords: readonly Keyword[]): readonly (readonly CodedKeyword[])[] {
  const table: CodedKeyword[][] = Array.from({ length: 256 }, () => []);
  for (const { words, kind } of keywords) {
    const codes = Uint8Array.from(words, (letter) => letter.charCodeAt(0));
    table[words.charCodeAt(0)]?.push({ codes, kind });
  }
  return table;
}
