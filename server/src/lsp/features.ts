/**
 * Binds what an editor draws into and around the text. One line per method; each feature is a file of its own.
 */

import type {
  CallHierarchyIncomingCallsParams,
  CallHierarchyOutgoingCallsParams,
  CallHierarchyPrepareParams,
  ColorPresentationParams,
  Connection,
  DocumentColorParams,
} from 'vscode-languageserver';
import { incomingNesting, outgoingNesting, prepareNesting } from './callHierarchy.ts';
import { codeLenses } from './codeLens.ts';
import { completion } from './completion.ts';
import { colourNames, documentColours } from './documentColours.ts';
import { documentLinks } from './documentLinks.ts';
import { foldingRanges, selectionRanges } from './folding.ts';
import { formatColumns } from './formatting.ts';
import { inlayHints, resolveInlayHint } from './inlayHints.ts';
import type { LifeCycle } from './lifeCycle.ts';
import { definition } from './navigation.ts';
import { prepareRename, rename } from './rename.ts';
import { semanticTokens } from './semanticTokens.ts';
import type { Session } from './session.ts';
import { documentSymbols } from './symbols.ts';

export function bindFeatures(connection: Connection, { request }: LifeCycle, session: () => Session): void {
  const { inlayHint, semanticTokens: tokens } = connection.languages;
  inlayHint.on(request('The inlay hints', (params) => inlayHints(session(), params)));
  inlayHint.resolve(request('The tooltip of a hint', (hint) => resolveInlayHint(session(), hint)));
  connection.onCodeLens(request('The lens', ({ textDocument }) => codeLenses(session(), textDocument.uri)));
  connection.onDocumentSymbol(request('The outline', ({ textDocument }) => documentSymbols(session(), textDocument.uri)));
  connection.onFoldingRanges(request('Folding', ({ textDocument }) => foldingRanges(session(), textDocument.uri)));
  connection.onSelectionRanges(
    request('Growing the selection', ({ textDocument, positions }) => selectionRanges(session(), textDocument.uri, positions)),
  );
  connection.onDefinition(
    request('The definition', ({ textDocument, position }) => definition(session(), textDocument.uri, position)),
  );
  connection.onDocumentLinks(request('The links', ({ textDocument }) => documentLinks(session(), textDocument.uri)));
  connection.onCompletion(
    request('Completion', ({ textDocument, position }) => completion(session(), textDocument.uri, position)),
  );
  connection.onPrepareRename(
    request('Preparing to rename', ({ textDocument, position }) => prepareRename(session(), textDocument.uri, position)),
  );
  connection.onRenameRequest(
    request('Renaming', ({ textDocument, position, newName }, token) =>
      rename(session(), textDocument.uri, position, newName, token),
    ),
  );
  connection.onDocumentFormatting(request('Formatting', ({ textDocument }) => formatColumns(session(), textDocument.uri, null)));
  connection.onDocumentRangeFormatting(
    request('Formatting', ({ textDocument, range }) => formatColumns(session(), textDocument.uri, range)),
  );
  tokens.on(request('Colours', ({ textDocument }) => semanticTokens(session(), textDocument.uri, null)));
  tokens.onRange(request('Colours', ({ textDocument, range }) => semanticTokens(session(), textDocument.uri, range)));
  // By their names: what the library has for these five is larger than all that is said here.
  connection.onRequest(
    'textDocument/prepareCallHierarchy',
    request('The nesting', ({ textDocument, position }: CallHierarchyPrepareParams) =>
      prepareNesting(session(), textDocument.uri, position),
    ),
  );
  connection.onRequest(
    'callHierarchy/incomingCalls',
    request('What holds this', ({ item }: CallHierarchyIncomingCallsParams) => incomingNesting(session(), item)),
  );
  connection.onRequest(
    'callHierarchy/outgoingCalls',
    request('What this holds', ({ item }: CallHierarchyOutgoingCallsParams) => outgoingNesting(session(), item)),
  );
  connection.onRequest(
    'textDocument/documentColor',
    request('The swatches', ({ textDocument }: DocumentColorParams) => documentColours(session(), textDocument.uri)),
  );
  connection.onRequest(
    'textDocument/colorPresentation',
    request('The names of a colour', (params: ColorPresentationParams) => colourNames(session(), params)),
  );
}
