/**
 * A swatch beside each word that names a marker's colour, and the names to put there instead.
 *
 * An editor lets a person pick any colour; a timeline holds a few names. So the names are offered by how near they come, each as an
 * edit of that one word, worked out from the current text.
 */

import type { ColorInformation, ColorPresentation, ColorPresentationParams, Range } from 'vscode-languageserver';
import { textOf } from '../core/text/span.ts';
import { type MarkerColour, markerColours, namesNear } from '../core/views/markerColours.ts';
import { auditedDocument } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { createKept } from './kept.ts';
import { rangeOf, rangesOf, spanOf } from './positions.ts';
import type { Session } from './session.ts';

export async function documentColours(session: Session, uri: string): Promise<ColorInformation[]> {
  const audited = await auditedDocument(session, uri);
  if (audited === null) return [];
  const colours = coloursIn(audited);
  const ranges = rangesOf(
    audited.document.index,
    colours.map(({ span }) => span),
    session.abilities.columnUnit,
  );
  return colours.map(({ colour }, at) => ({ range: ranges[at] as Range, color: { ...colour, alpha: 1 } }));
}

/** None where no colour stands any more. */
export async function colourNames(
  session: Session,
  { textDocument, color, range }: Pick<ColorPresentationParams, 'textDocument' | 'color' | 'range'>,
): Promise<ColorPresentation[]> {
  const audited = await auditedDocument(session, textDocument.uri);
  if (audited === null) return [];
  const { index } = audited.document;
  const asked = spanOf(index, range, session.abilities.columnUnit);
  const found = coloursIn(audited).find(({ span }) => span.start === asked.start && span.end === asked.end);
  if (found === undefined) return [];
  const place = rangeOf(index, found.span, session.abilities.columnUnit);
  return namesNear(color, textOf(index.text, found.span)).map((name) => ({
    label: name,
    textEdit: { range: place, newText: name },
  }));
}

const kept = createKept<readonly MarkerColour[]>();

function coloursIn(audited: AuditedDocument): readonly MarkerColour[] {
  const { result } = audited;
  return kept(audited, () => (result === null ? [] : markerColours(result)));
}
