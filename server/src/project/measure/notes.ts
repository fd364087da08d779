/**
 * Notes of a report that a person and the program share.
 *
 * What measuring writes stands in brackets of its own at the end, so that measuring again replaces that and nothing else.
 */

const OURS = /\s*\[measured: [^\]]*\]\s*$/;

/** `[measured: 6 m of air taken out; polarity inverted]`; null when there is nothing to say. */
export function measuredNote(facts: readonly string[]): string | null {
  return facts.length === 0 ? null : `[measured: ${facts.join('; ').replaceAll(/[[\]]/g, '')}]`;
}

/** The note to write where `standing` stands now; null when it need not change. */
export function joinNotes(standing: string, measured: string | null): string | null {
  const own = standing.replace(OURS, '');
  const joined = measured === null ? own : own === '' ? measured : `${own} ${measured}`;
  return joined === standing ? null : joined;
}
