/**
 * The outline of a document, as a tree or, for clients that take no tree, as a list.
 */

import type { Range, SymbolInformation, DocumentSymbol as WireSymbol } from 'vscode-languageserver';
import { type DocumentSymbol, reportSymbols, type SymbolKind, timelineSymbols } from '../core/views/symbols.ts';
import { auditedDocument, reportOf } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { createKept } from './kept.ts';
import { rangesOf } from './positions.ts';
import type { Session } from './session.ts';

/** Numbers of the protocol's SymbolKind: those whose pictures come closest. */
export const SYMBOL_KINDS: Readonly<Record<SymbolKind, WireSymbol['kind']>> = {
  timeline: 2,
  stack: 3,
  track: 18,
  clip: 19,
  gap: 21,
  transition: 25,
  event: 24,
  media: 1,
  picture: 1,
  sound: 1,
  pair: 8,
  limit: 15,
};

export async function documentSymbols(session: Session, uri: string): Promise<WireSymbol[] | SymbolInformation[]> {
  const audited = await auditedDocument(session, uri);
  return audited === null ? [] : kept(audited, () => symbolsIn(session, uri, audited));
}

const kept = createKept<WireSymbol[] | SymbolInformation[]>();

function symbolsIn(session: Session, uri: string, { document, result }: AuditedDocument): WireSymbol[] | SymbolInformation[] {
  const report = result === null ? reportOf(document) : null;
  const symbols = result !== null ? timelineSymbols(result) : report === null ? [] : reportSymbols(report);
  const flat = flatten(symbols, '');
  const ranges = rangesOf(
    document.index,
    flat.flatMap(({ symbol }) => [symbol.span, symbol.nameSpan]),
    session.abilities.columnUnit,
  );
  if (!session.abilities.takesSymbolTree) {
    return flat.map(({ symbol, container }, at) => ({
      name: symbol.name,
      kind: SYMBOL_KINDS[symbol.kind],
      location: { uri, range: ranges[2 * at] as Range },
      ...(container === '' ? {} : { containerName: container }),
    }));
  }
  let at = 0;
  const tree = (level: readonly DocumentSymbol[]): WireSymbol[] =>
    level.map(({ name, detail, kind, children }) => {
      const range = ranges[2 * at] as Range;
      const selectionRange = ranges[2 * at + 1] as Range;
      at += 1;
      const symbol = { name, detail, kind: SYMBOL_KINDS[kind], range, selectionRange };
      // Nearly all are leaves, and an empty list of each is a twentieth of the answer.
      return children.length === 0 ? symbol : { ...symbol, children: tree(children) };
    });
  return tree(symbols);
}

interface Flat {
  readonly symbol: DocumentSymbol;
  readonly container: string;
}

/** In the order in which `tree` meets them. */
function flatten(symbols: readonly DocumentSymbol[], container: string): readonly Flat[] {
  const flat: Flat[] = [];
  const add = (level: readonly DocumentSymbol[], parent: string): void => {
    for (const symbol of level) {
      flat.push({ symbol, container: parent });
      add(symbol.children, symbol.name);
    }
  };
  add(symbols, container);
  return flat;
}
