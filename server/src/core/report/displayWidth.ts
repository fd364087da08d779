/**
 * How many columns of a terminal a character takes: 0, 1 or 2.
 *
 * Carets stand under the right characters only if this agrees with the terminal. Wide are the East Asian Wide and Fullwidth
 * characters and emoji shown as pictures (Unicode UAX #11); nothing is taken by marks that combine and by format characters.
 * Terminals differ on rare scripts and on joined emoji; there a caret may be a column off, never on another line.
 */

const TAKES_NOTHING = /^[\p{Mn}\p{Me}\p{Cf}]$/u;
const IS_WIDE =
  /^[\p{Emoji_Presentation}\p{Script=Han}\p{Script=Hangul}\p{Script=Hiragana}\p{Script=Katakana}\p{Script=Bopomofo}\p{Script=Yi}\u3000-\u303e\uff01-\uff60\uffe0-\uffe6]$/u;
/** Half-width katakana and hangul: of a wide script, one column wide. */
const IS_HALF_WIDTH = /^[\uff61-\uffdc\uffe8-\uffee]$/u;

/** Columns taken by one character, given as a whole code point. Control characters are the caller's to replace. */
export function displayWidth(character: string): 0 | 1 | 2 {
  const code = character.codePointAt(0) ?? 0;
  if (code < 0x300) return 1;
  if (TAKES_NOTHING.test(character)) return 0;
  return IS_WIDE.test(character) && !IS_HALF_WIDTH.test(character) ? 2 : 1;
}

/** Columns taken by a text without control characters. */
export function textWidth(text: string): number {
  let width = 0;
  for (const character of text) width += displayWidth(character);
  return width;
}
