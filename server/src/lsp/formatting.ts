/**
 * Columns of edit decision lists put in line. JSON and XML are left to the formatter of the person's choice.
 */

import type { Range, TextEdit } from 'vscode-languageserver';
import { alignEdlColumns } from '../core/views/edlColumns.ts';
import { documentKindOf } from './documentKind.ts';
import { rangesOf, spanOf } from './positions.ts';
import type { Session } from './session.ts';

/** `range` null: the whole list. Null for documents that are no edit list. */
export async function formatColumns(session: Session, uri: string, range: Range | null): Promise<TextEdit[] | null> {
  const document = session.store.get(uri);
  const kind = document === null ? null : documentKindOf(uri, document.languageId);
  if (document === null || kind?.kind !== 'timeline' || kind.format !== 'edl') return null;
  const { index } = document;
  const { columnUnit } = session.abilities;
  const edits = alignEdlColumns(
    index.text,
    range === null ? { start: 0, end: index.text.length } : spanOf(index, range, columnUnit),
  );
  const ranges = rangesOf(
    index,
    edits.map(({ span }) => span),
    columnUnit,
  );
  return edits.map(({ newText }, at) => ({ range: ranges[at] as Range, newText }));
}
