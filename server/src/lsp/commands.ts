/**
 * Commands and requests that change a text.
 */

import type { Connection, ExecuteCommandParams } from 'vscode-languageserver';
import { editsForFix } from '../core/audit.ts';
import { APPLY_SAFE_FIXES_COMMAND } from './capabilities.ts';
import { acceptFixAt, safeFixes, withReason } from './codeActions.ts';
import { workspaceEditOf } from './edits.ts';
import type { AcceptRequestParams, EditAnswer } from './messages.ts';
import { spanOf } from './positions.ts';
import type { Session } from './session.ts';

const NOT_OPEN: EditAnswer = {
  edit: null,
  message: 'Open a timeline first: .otio, .timeline.xml, .edl or a composition playlist.',
};

/** Makes the safe fixes of one document, whose URI is the only argument, through the client. */
export async function executeCommand(
  session: Session,
  connection: Connection,
  { command, arguments: given }: ExecuteCommandParams,
): Promise<EditAnswer> {
  if (command !== APPLY_SAFE_FIXES_COMMAND) return { edit: null, message: `There is no command '${command}'.` };
  const uri: unknown = given?.[0];
  const document = typeof uri === 'string' ? session.store.get(uri) : null;
  const audited = document === null ? null : await session.audits.of(document);
  if (document === null || audited === null || audited.result === null) return NOT_OPEN;
  const { edits, message } = safeFixes(audited.result);
  if (edits.length === 0) return { edit: null, message };
  const edit = workspaceEditOf(document, edits, session.abilities);
  if (!session.abilities.appliesEdits) return { edit, message: 'This editor takes no edits from a server; use the quick fixes.' };
  const { applied, failureReason } = await connection.workspace.applyEdit({ label: 'Fix all safe findings', edit });
  return { edit: null, message: applied ? message : `Nothing was changed: ${failureReason ?? 'the editor refused the edit'}.` };
}

/** The edit that accepts a finding with the person's reason. */
export async function acceptEdit(session: Session, params: AcceptRequestParams): Promise<EditAnswer> {
  const document = session.store.get(params.uri);
  const audited = document === null ? null : await session.audits.of(document);
  if (document === null || audited === null || audited.result === null) return NOT_OPEN;
  const span = spanOf(document.index, params.range, session.abilities.columnUnit);
  const fix = acceptFixAt(audited.result, params.code, span);
  if (fix === null) return { edit: null, message: `There is no ${params.code} at this place any more; nothing was changed.` };
  const edits = editsForFix(audited.result, withReason(fix, params.reason));
  if (!edits.ok) return { edit: null, message: edits.reason };
  return { edit: workspaceEditOf(document, edits.edits, session.abilities), message: '' };
}
