/**
 * Words on lines no wider than a terminal.
 */

import { textWidth } from './displayWidth.ts';

/** The lines of `text`, broken at spaces; a single word that is wider keeps a line of its own. */
export function wrapText(text: string, width: number): readonly string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && textWidth(longer) > width) {
      lines.push(line);
      line = word;
    } else {
      line = longer;
    }
  }
  return [...lines, line];
}
