/**
 * Search over the names of clips and media in every timeline and report of the workspace.
 */

import type { CancellationToken, Range, SymbolInformation } from 'vscode-languageserver';
import { type NamedPlace, namesInReport, namesInTimeline } from '../core/views/searchNames.ts';
import { reportOf } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { rangesOf } from './positions.ts';
import type { Session } from './session.ts';
import { SYMBOL_KINDS } from './symbols.ts';
import { auditedFiles } from './workspaceFiles.ts';

/** Nobody reads a longer list; a longer query shortens it. */
const LARGEST_ANSWER = 1000;

/** Answers file by file where `onPart` is given; the rest of the answer is then empty. */
export async function workspaceSymbols(
  session: Session,
  query: string,
  token: CancellationToken,
  onPart: ((part: SymbolInformation[]) => void) | null,
): Promise<SymbolInformation[]> {
  const files = await session.workspace.list(session, token);
  const all: SymbolInformation[] = [];
  let count = 0;
  for await (const { file, audited } of auditedFiles(session, files, token)) {
    const places = namesIn(audited, query);
    const shown = places.slice(0, LARGEST_ANSWER - count);
    const found = symbolsOf(session, file.uri, audited, shown);
    if (shown.length < places.length) found.push(limitNotice(file.uri));
    count += shown.length;
    if (onPart === null) all.push(...found);
    else if (found.length > 0) onPart(found);
    if (shown.length < places.length) break;
  }
  return all;
}

function namesIn({ document, result }: AuditedDocument, query: string): readonly NamedPlace[] {
  if (result !== null) return namesInTimeline(result, query);
  const report = reportOf(document);
  return report === null ? [] : namesInReport(report, query);
}

function symbolsOf(
  { abilities }: Session,
  uri: string,
  { document }: AuditedDocument,
  places: readonly NamedPlace[],
): SymbolInformation[] {
  const ranges = rangesOf(
    document.index,
    places.map(({ span }) => span),
    abilities.columnUnit,
  );
  return places.map(({ name, kind, container }, at) => ({
    name,
    kind: SYMBOL_KINDS[kind],
    location: { uri, range: ranges[at] as Range },
    ...(container === '' ? {} : { containerName: container }),
  }));
}

function limitNotice(uri: string): SymbolInformation {
  const head = { line: 0, character: 0 };
  return {
    name: `more than ${LARGEST_ANSWER} places; type more letters`,
    kind: SYMBOL_KINDS.limit,
    location: { uri, range: { start: head, end: head } },
  };
}
