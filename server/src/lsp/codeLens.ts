/**
 * One lens at the head of each timeline: what became of all its comparisons.
 */

import type { CodeLens } from 'vscode-languageserver';
import { verdictSummary } from '../core/views/verdictSummary.ts';
import { auditedDocument } from './auditedDocument.ts';
import { OPEN_REPORT_COMMAND } from './capabilities.ts';
import type { Session } from './session.ts';

export async function codeLenses(session: Session, uri: string): Promise<CodeLens[]> {
  const audited = await auditedDocument(session, uri);
  if (audited === null || audited.result === null) return [];
  if (!(await session.display.of(uri)).codeLens) return [];
  const head = { line: 0, character: 0 };
  const title = verdictSummary(audited.result);
  // A command that the client does not know would fail on a click; without a name the lens is only read.
  const command = session.abilities.opensReport ? OPEN_REPORT_COMMAND : '';
  return [{ range: { start: head, end: head }, command: { title, command } }];
}
