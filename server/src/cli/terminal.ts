/**
 * Where a run writes to and what it may assume about it. The commands see this and not the process, so that they can be
 * called from tests.
 */

import { type Painter, plainPainter, terminalPainter } from '../core/report/painter.ts';

export interface OutputStream {
  readonly write: (text: string) => void;
  readonly isTerminal: boolean;
  /** Columns of the terminal; null when it is none, or does not tell. */
  readonly columns: number | null;
}

export interface Terminal {
  readonly output: OutputStream;
  readonly error: OutputStream;
  readonly environment: Readonly<Record<string, string | undefined>>;
}

/** Wide enough for the line of an edit decision list with its margin, narrow enough to read. */
const WIDTH_WITHOUT_TERMINAL = 120;

/** Columns to write in. */
export function widthOf(stream: OutputStream): number {
  return Math.min(200, Math.max(60, stream.columns ?? WIDTH_WITHOUT_TERMINAL));
}

/**
 * Colour on a terminal only, unless the environment says otherwise: FORCE_COLOR switches it on (0 or false: off), NO_COLOR set
 * to anything switches it off. FORCE_COLOR wins, as Node itself has it.
 */
export function painterFor(stream: OutputStream, environment: Terminal['environment']): Painter {
  return hasColour(stream, environment) ? terminalPainter : plainPainter;
}

function hasColour(stream: OutputStream, environment: Terminal['environment']): boolean {
  const forced = environment['FORCE_COLOR'];
  if (forced !== undefined && forced !== '') return forced !== '0' && forced !== 'false';
  if ((environment['NO_COLOR'] ?? '') !== '' || environment['TERM'] === 'dumb') return false;
  return stream.isTerminal;
}
