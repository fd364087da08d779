/**
 * Text edits of a fix to the protocol's edits: of one document, at the version they were worked out for.
 */

import type { TextEdit as WireTextEdit, WorkspaceEdit } from 'vscode-languageserver';
import type { TextEdit } from '../core/text/textEdit.ts';
import type { ClientAbilities } from './capabilities.ts';
import { rangesOf } from './positions.ts';
import type { OpenDocument } from './textStore.ts';

/** A client that takes versioned edits refuses these once the text has moved on, instead of writing into the wrong place. */
export function workspaceEditOf(document: OpenDocument, edits: readonly TextEdit[], abilities: ClientAbilities): WorkspaceEdit {
  const ranges = rangesOf(
    document.index,
    edits.map(({ span }) => span),
    abilities.columnUnit,
  );
  const wireEdits = edits.map(({ newText }, at): WireTextEdit => ({ range: ranges[at] as WireTextEdit['range'], newText }));
  const { uri, version } = document;
  return abilities.takesVersionedEdits
    ? { documentChanges: [{ textDocument: { uri, version }, edits: wireEdits }] }
    : { changes: { [uri]: wireEdits } };
}
