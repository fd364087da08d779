/**
 * Text from files made fit to be printed.
 *
 * A clip name may hold a line break, an escape sequence that clears the terminal, or marks that turn the reading direction.
 * They are shown as a sign of their own, so that what is printed can be trusted and every finding keeps to its lines.
 */

/** Letters, digits and signs of ASCII: nearly every text, and nothing in it to be shown otherwise. */
const PLAIN = /^[ -~]*$/;

/** One character that can be printed in place of `character`, which may be any code point; a tab too becomes a sign. */
export function visibleCharacter(character: string): string {
  const code = character.codePointAt(0) ?? 0;
  // The control pictures of Unicode stand in the order of the codes they show.
  if (code < 0x20) return String.fromCharCode(0x2400 + code);
  if (code === 0x7f) return '\u2421';
  return isUnprintable(code) ? '\ufffd' : character;
}

/** The text on one line, with every control character shown as a sign. */
export function visibleText(text: string): string {
  if (PLAIN.test(text)) return text;
  let result = '';
  for (const character of text) result += visibleCharacter(character);
  return result;
}

/** C1 controls, line and paragraph separators, marks of reading direction, halves of surrogate pairs. */
function isUnprintable(code: number): boolean {
  return (
    (code >= 0x80 && code <= 0x9f) ||
    (code >= 0x2028 && code <= 0x202e) ||
    (code >= 0x2066 && code <= 0x2069) ||
    code === 0x200e ||
    code === 0x200f ||
    code === 0x061c ||
    (code >= 0xd800 && code <= 0xdfff)
  );
}
