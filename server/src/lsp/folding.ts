/**
 * Folding and growing selections, for timelines and reports.
 */

import type { FoldingRange, Position, Range, SelectionRange } from 'vscode-languageserver';
import type { Span } from '../core/text/span.ts';
import { reportFolds, reportSelection, timelineFolds, timelineSelection } from '../core/views/folding.ts';
import { auditedDocument, reportOf } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { createKept } from './kept.ts';
import { offsetOf, rangesOf } from './positions.ts';
import type { Session } from './session.ts';

/** Editors take about this many; the innermost are left out, where a fold saves least. */
const LARGEST_FOLD_COUNT = 5000;

export async function foldingRanges(session: Session, uri: string): Promise<FoldingRange[]> {
  const audited = await auditedDocument(session, uri);
  return audited === null ? [] : kept(audited, () => foldsIn(session, uri, audited));
}

const kept = createKept<FoldingRange[]>();

function foldsIn(session: Session, uri: string, { document, result }: AuditedDocument): FoldingRange[] {
  const report = result === null ? reportOf(document) : null;
  const spans = result !== null ? timelineFolds(result) : report === null ? [] : reportFolds(report);
  const ranges = rangesOf(document.index, spans, session.abilities.columnUnit);
  const folds: FoldingRange[] = [];
  const startLines = new Set<number>();
  for (const [at, { start, end }] of ranges.entries()) {
    // A span that ends at the head of a line, as an event of a list does, shows nothing of that line.
    const endsAtHead = end.character === 0 && (spans[at] as Span).end > (spans[at] as Span).start;
    const endLine = endsAtHead ? end.line - 1 : end.line;
    if (endLine <= start.line || startLines.has(start.line)) continue;
    startLines.add(start.line);
    folds.push({ startLine: start.line, endLine });
  }
  if (folds.length > LARGEST_FOLD_COUNT) {
    session.warn(`${uri}: ${folds.length} places could be folded; only the outermost ${LARGEST_FOLD_COUNT} are offered.`);
  }
  return folds.slice(0, LARGEST_FOLD_COUNT);
}

/** One chain per position asked about, in their order. */
export async function selectionRanges(session: Session, uri: string, positions: readonly Position[]): Promise<SelectionRange[]> {
  const audited = await auditedDocument(session, uri);
  if (audited === null) return [];
  const { index } = audited.document;
  const { columnUnit } = session.abilities;
  return positions.map((position) => {
    const ranges = rangesOf(index, selectionAt(audited, offsetOf(index, position, columnUnit)), columnUnit);
    const outermost: SelectionRange = { range: ranges.at(-1) as Range };
    return ranges.slice(0, -1).reduceRight((parent: SelectionRange, range): SelectionRange => ({ range, parent }), outermost);
  });
}

function selectionAt({ document, result }: AuditedDocument, offset: number): readonly Span[] {
  if (result !== null) return timelineSelection(result, offset);
  const report = reportOf(document);
  return report === null ? [{ start: 0, end: document.index.text.length }] : reportSelection(report, offset);
}
