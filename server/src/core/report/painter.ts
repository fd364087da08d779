/**
 * Colour for a terminal, or none. Colours are the terminal's own sixteen, so its theme decides how they look, and they only
 * repeat what the words beside them say.
 */

import type { ShownSeverity } from './checkedFile.ts';

export interface Painter {
  readonly severity: (severity: ShownSeverity, text: string) => string;
  readonly strong: (text: string) => string;
  readonly faint: (text: string) => string;
  readonly place: (text: string) => string;
}

const asIs = (text: string): string => text;

export const plainPainter: Painter = { severity: (_severity, text) => text, strong: asIs, faint: asIs, place: asIs };

/** Codes of ECMA-48 (select graphic rendition): bold, faint, foreground colours, and each one's own end. */
export const terminalPainter: Painter = {
  severity: (severity, text) => painted({ error: 31, warning: 33, information: 36 }[severity], 39, text),
  strong: (text) => painted(1, 22, text),
  faint: (text) => painted(2, 22, text),
  place: (text) => painted(4, 24, text),
};

function painted(on: number, off: number, text: string): string {
  return text === '' ? '' : `\u001b[${on}m${text}\u001b[${off}m`;
}
