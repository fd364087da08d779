/**
 * Text edits of core to the protocol's edits, each document at the version they were worked out for.
 */

import type { Range, TextDocumentEdit, WorkspaceEdit } from 'vscode-languageserver';
import type { TextEdit } from '../core/text/textEdit.ts';
import type { ClientAbilities } from './capabilities.ts';
import { rangesOf } from './positions.ts';
import type { OpenDocument } from './textStore.ts';

/** Edits of one open document. */
export function workspaceEditOf(document: OpenDocument, edits: readonly TextEdit[], abilities: ClientAbilities): WorkspaceEdit {
  return asWorkspaceEdit([documentEditOf(document, document.version, edits, abilities)], abilities);
}

/** `version` null: the document is open nowhere, and the edits are of the file. */
export function documentEditOf(
  { uri, index }: OpenDocument,
  version: number | null,
  edits: readonly TextEdit[],
  { columnUnit }: ClientAbilities,
): TextDocumentEdit {
  const ranges = rangesOf(
    index,
    edits.map(({ span }) => span),
    columnUnit,
  );
  return {
    textDocument: { uri, version },
    edits: edits.map(({ newText }, at) => ({ range: ranges[at] as Range, newText })),
  };
}

/** A client that takes versioned edits refuses these once a text has moved on, instead of writing into the wrong place. */
export function asWorkspaceEdit(changes: TextDocumentEdit[], { takesVersionedEdits }: ClientAbilities): WorkspaceEdit {
  if (takesVersionedEdits) return { documentChanges: changes };
  return { changes: Object.fromEntries(changes.map(({ textDocument: { uri }, edits }) => [uri, edits])) } as WorkspaceEdit;
}
