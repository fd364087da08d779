/**
 * The open document a request is about, audited: the first step of nearly every feature.
 */

import type { AlignmentReport } from '../core/alignment/model.ts';
import { readReport } from '../core/alignment/readReport.ts';
import type { AuditedDocument } from './audits.ts';
import { documentKindOf, fileNameOf } from './documentKind.ts';
import type { Session } from './session.ts';
import type { OpenDocument } from './textStore.ts';

/** Null for documents that are not open or none of ours. */
export async function auditedDocument(session: Session, uri: string): Promise<AuditedDocument | null> {
  const document = session.store.get(uri);
  return document === null ? null : session.audits.of(document);
}

/** The document read as an alignment report, once for each text; null for every other kind. */
export function reportOf(document: OpenDocument): AlignmentReport | null {
  if (documentKindOf(document.uri, null)?.kind !== 'alignment') return null;
  const before = reports.get(document);
  if (before !== undefined) return before;
  const report = readReport(fileNameOf(document.uri), document.index.text);
  reports.set(document, report);
  return report;
}

/** They go with the documents they are of. */
const reports = new WeakMap<OpenDocument, AlignmentReport>();
