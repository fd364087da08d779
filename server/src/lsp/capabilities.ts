/**
 * What the client can do, and what we therefore offer: the only place that reads client capabilities.
 *
 * Both functions are pure. Clients are untrusted: any member may be missing or of another type, and then counts as absent.
 * Everything that is deliberately not offered is absent from `serverCapabilities`: formatting of JSON and XML is one.
 */

import type { InitializeParams, ServerCapabilities } from 'vscode-languageserver';
import type { ColumnUnit } from '../core/text/lineIndex.ts';
import { LAGS_SCHEME } from './lagsText.ts';
import { TOKEN_TYPES } from './semanticTokens.ts';

export interface ClientAbilities {
  readonly columnUnit: ColumnUnit;
  /** Asks for diagnostics itself; then nothing is pushed. */
  readonly pullsDiagnostics: boolean;
  /** Shows what is said of a timeline's reports when it asks for the timeline. */
  readonly takesRelatedDocuments: boolean;
  /** Asks again when told that everything may have changed. */
  readonly refreshesDiagnostics: boolean;
  readonly showsRelatedInformation: boolean;
  readonly showsTags: boolean;
  readonly showsCodeDescription: boolean;
  readonly keepsDiagnosticData: boolean;
  readonly takesDiagnosticVersion: boolean;
  readonly rendersMarkdown: boolean;
  /** Takes code actions that carry an edit; older clients take commands only. */
  readonly takesCodeActions: boolean;
  readonly takesPreferred: boolean;
  /** Edits can say which version of the text they were made for. */
  readonly takesVersionedEdits: boolean;
  readonly appliesEdits: boolean;
  readonly watchesFiles: boolean;
  /** Wants to be told which report is used, and why. */
  readonly showsStatus: boolean;
  /** Asks the person for a reason before a finding is accepted. */
  readonly asksForReason: boolean;
  /** How it makes fixes in files that nobody looks at: by its own command, which asks first; by resolving an action's edit; not at all. */
  readonly fixesWorkspace: 'by asking' | 'by resolving' | false;
  /** Reads files for us: those of virtual workspaces, and all of them where the server runs in a browser. */
  readonly readsFiles: boolean;
  /** Reads recordings by ranges for us, wherever the server reaches none. */
  readonly readsBytes: boolean;
  /** Address of the script with the sound engine; null where the client names none. */
  readonly soundEngineUri: string | null;
  /** Answers questions for its settings. */
  readonly answersConfiguration: boolean;
  /** Lets the server ask to be told of changed settings. */
  readonly tellsConfiguration: boolean;
  readonly takesSymbolTree: boolean;
  readonly refreshesHints: boolean;
  readonly refreshesLenses: boolean;
  readonly refreshesTokens: boolean;
  /** Tells of folders that come into the workspace or leave it. */
  readonly tellsFolders: boolean;
  /** Asks first whether there is something to rename. */
  readonly preparesRename: boolean;
  /** Has a command that opens the report of the timeline in front. */
  readonly opensReport: boolean;
  /** Shows documents whose text comes from a server. */
  readonly showsTexts: boolean;
}

/** Commands that the server carries out, for editors that reach it through `workspace/executeCommand`. */
export const APPLY_SAFE_FIXES_COMMAND = 'afterclap.applySafeFixes';
/** Carried out by a client that asks for a reason, on the arguments of one code action. */
export const ACCEPT_WITH_REASON_COMMAND = 'afterclap.acceptWithReason';

/** Carried out by a client that asks before it changes many files; its argument is a finding code. */
export const FIX_WORKSPACE_COMMAND = 'afterclap.fixAllSafeInWorkspace';

/** Carried out by a client that shows which report is used. */
export const OPEN_REPORT_COMMAND = 'afterclap.openReport';

export const FIX_ALL_KIND = 'source.fixAll.afterclap';

export function abilitiesOf(params: InitializeParams): ClientAbilities {
  const at = (...path: readonly string[]): unknown => memberAt(params, path);
  const inDocument = (...path: readonly string[]): unknown => at('capabilities', 'textDocument', ...path);
  const inWorkspace = (...path: readonly string[]): unknown => at('capabilities', 'workspace', ...path);
  const has = (member: unknown): boolean => typeof member === 'object' && member !== null;
  // Clients of either model describe how they show a diagnostic in their own section.
  const shows = (...path: readonly string[]): unknown =>
    inDocument('publishDiagnostics', ...path) ?? inDocument('diagnostic', ...path);
  const resolvesEdits =
    inDocument('codeAction', 'dataSupport') === true &&
    includes(inDocument('codeAction', 'resolveSupport', 'properties'), 'edit');
  return {
    columnUnit: columnUnitOf(at('capabilities', 'general', 'positionEncodings')),
    pullsDiagnostics: has(inDocument('diagnostic')),
    takesRelatedDocuments: inDocument('diagnostic', 'relatedDocumentSupport') === true,
    refreshesDiagnostics: inWorkspace('diagnostics', 'refreshSupport') === true,
    showsRelatedInformation: shows('relatedInformation') === true,
    showsTags: has(shows('tagSupport')),
    showsCodeDescription: shows('codeDescriptionSupport') === true,
    keepsDiagnosticData: shows('dataSupport') === true,
    takesDiagnosticVersion: inDocument('publishDiagnostics', 'versionSupport') === true,
    rendersMarkdown: includes(inDocument('hover', 'contentFormat'), 'markdown'),
    takesCodeActions: has(inDocument('codeAction', 'codeActionLiteralSupport')),
    takesPreferred: inDocument('codeAction', 'isPreferredSupport') === true,
    takesVersionedEdits: inWorkspace('workspaceEdit', 'documentChanges') === true,
    appliesEdits: inWorkspace('applyEdit') === true,
    watchesFiles: inWorkspace('didChangeWatchedFiles', 'dynamicRegistration') === true,
    showsStatus: at('initializationOptions', 'showsStatus') === true,
    asksForReason: at('initializationOptions', 'asksForReason') === true,
    fixesWorkspace:
      at('initializationOptions', 'asksBeforeFixing') === true ? 'by asking' : resolvesEdits ? 'by resolving' : false,
    readsFiles: at('initializationOptions', 'readsFiles') === true,
    readsBytes: at('initializationOptions', 'readsBytes') === true,
    soundEngineUri: textOf(at('initializationOptions', 'soundEngineUri')),
    answersConfiguration: inWorkspace('configuration') === true,
    tellsConfiguration: inWorkspace('didChangeConfiguration', 'dynamicRegistration') === true,
    takesSymbolTree: inDocument('documentSymbol', 'hierarchicalDocumentSymbolSupport') === true,
    refreshesHints: inWorkspace('inlayHint', 'refreshSupport') === true,
    refreshesLenses: inWorkspace('codeLens', 'refreshSupport') === true,
    refreshesTokens: inWorkspace('semanticTokens', 'refreshSupport') === true,
    tellsFolders: inWorkspace('workspaceFolders') === true,
    preparesRename: inDocument('rename', 'prepareSupport') === true,
    opensReport: at('initializationOptions', 'showsStatus') === true,
    showsTexts: has(inWorkspace('textDocumentContent')),
  };
}

export function serverCapabilities(abilities: ClientAbilities): ServerCapabilities {
  return {
    positionEncoding: abilities.columnUnit,
    // 2: incremental. Where nobody tells of files that change on disk, saving is when they are looked at again.
    textDocumentSync: { openClose: true, change: 2, ...(abilities.watchesFiles ? {} : { save: true }) },
    hoverProvider: true,
    codeActionProvider: abilities.takesCodeActions
      ? { codeActionKinds: ['quickfix', FIX_ALL_KIND], resolveProvider: abilities.fixesWorkspace === 'by resolving' }
      : true,
    inlayHintProvider: { resolveProvider: true },
    codeLensProvider: {},
    documentSymbolProvider: true,
    definitionProvider: true,
    referencesProvider: true,
    callHierarchyProvider: true,
    colorProvider: true,
    documentLinkProvider: {},
    workspaceSymbolProvider: true,
    renameProvider: abilities.preparesRename ? { prepareProvider: true } : true,
    completionProvider: { triggerCharacters: ['"', '>', '*', ':', '/'] },
    documentFormattingProvider: true,
    documentRangeFormattingProvider: true,
    foldingRangeProvider: true,
    selectionRangeProvider: true,
    semanticTokensProvider: { legend: { tokenTypes: [...TOKEN_TYPES], tokenModifiers: [] }, full: true, range: true },
    executeCommandProvider: { commands: [APPLY_SAFE_FIXES_COMMAND] },
    workspace: {
      workspaceFolders: { supported: true, changeNotifications: true },
      ...(abilities.showsTexts ? { textDocumentContent: { schemes: [LAGS_SCHEME] } } : {}),
    },
    ...(abilities.pullsDiagnostics
      ? { diagnosticProvider: { identifier: 'afterclap', interFileDependencies: true, workspaceDiagnostics: true } }
      : {}),
  };
}

/** The first unit of the client's list that we know. UTF-16 is what the protocol means where nothing is said. */
function columnUnitOf(offered: unknown): ColumnUnit {
  if (!Array.isArray(offered)) return 'utf-16';
  return offered.find((unit): unit is ColumnUnit => unit === 'utf-8' || unit === 'utf-16' || unit === 'utf-32') ?? 'utf-16';
}

function memberAt(value: unknown, path: readonly string[]): unknown {
  let current = value;
  for (const name of path) {
    if (typeof current !== 'object' || current === null) return undefined;
    current = (current as Readonly<Record<string, unknown>>)[name];
  }
  return current;
}

function textOf(value: unknown): string | null {
  return typeof value === 'string' ? value : null;
}

function includes(value: unknown, wanted: string): boolean {
  return Array.isArray(value) && value.includes(wanted);
}
