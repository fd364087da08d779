/**
 * Names and numbers of sound clips coloured by what they mean.
 *
 * Token types are our own words; package.json tells the editor which colours of the theme come closest. Clients that know
 * none of them show the text as before.
 */

import type { SemanticTokens, Range as WireRange } from 'vscode-languageserver';
import { MEANINGS, type MeaningToken, meaningTokensIn } from '../core/views/meaningTokens.ts';
import { auditedDocument } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { createKept } from './kept.ts';
import { rangesOf, spanOf } from './positions.ts';
import type { Session } from './session.ts';

/** Names of the token types, in the order of their numbers: 'clipIn', 'clipLeads' ... */
export const TOKEN_TYPES: readonly string[] = MEANINGS.map(
  (meaning) => `clip${meaning.charAt(0).toUpperCase()}${meaning.slice(1)}`,
);

/** `range` null: the whole document. */
export async function semanticTokens(session: Session, uri: string, range: WireRange | null): Promise<SemanticTokens> {
  const audited = await auditedDocument(session, uri);
  if (audited === null) return { data: [] };
  return range === null ? kept(audited, () => tokensIn(session, audited, null)) : tokensIn(session, audited, range);
}

const kept = createKept<SemanticTokens>();

function tokensIn(session: Session, { document, result }: AuditedDocument, range: WireRange | null): SemanticTokens {
  if (result === null) return { data: [] };
  const { columnUnit } = session.abilities;
  const span = range === null ? { start: 0, end: document.index.text.length } : spanOf(document.index, range, columnUnit);
  const tokens = meaningTokensIn(result, span);
  const ranges = rangesOf(
    document.index,
    tokens.map((token) => token.span),
    columnUnit,
  );
  return { data: encode(tokens, ranges) };
}

/** Five numbers a token, lines and characters counted from the token before (LSP 3.17, 'Semantic Tokens'). */
function encode(tokens: readonly MeaningToken[], ranges: readonly WireRange[]): number[] {
  const data: number[] = [];
  let line = 0;
  let character = 0;
  for (const [at, { meaning }] of tokens.entries()) {
    const { start, end } = ranges[at] as WireRange;
    const sameLine = start.line === line;
    data.push(start.line - line, sameLine ? start.character - character : start.character);
    data.push(end.character - start.character, MEANINGS.indexOf(meaning), 0);
    line = start.line;
    character = start.character;
  }
  return data;
}
