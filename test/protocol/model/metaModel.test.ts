/**
 * What validates every message in these tests is a meta-model of the protocol: it has the published form, says what the published
 * one says, and loses nothing on the way through JSON.
 *
 * Sources: the form is metaModel.schema.json of the package vscode-languageserver-protocol 3.18. The facts are read off
 * protocol/metaModel.json of the repository microsoft/vscode-languageserver-node at 022036c79a3d, the one that the protocol's page
 * publishes; it calls itself 3.17.0 and holds what was proposed for 3.18 by then.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import { describe, expect, it } from 'vitest';
import { faultsOf } from './checkValue.ts';
import { type MetaModel, type Property, reference, type Type } from './metaModel.ts';
import { modelOf } from './protocolModel.ts';
import { readDeclarations } from './readDeclarations.ts';

const SCHEMA = join(import.meta.dirname, '../../../node_modules/vscode-languageserver-protocol/metaModel.schema.json');

const metaModel = readDeclarations();
const text = JSON.stringify(metaModel);
const schema = JSON.parse(readFileSync(SCHEMA, 'utf8')) as { readonly definitions: object };
// The schema tells apart by 'const' and 'additionalProperties: false', and lists a value of two types, which strict mode refuses.
const isMetaModel = new Ajv({ strict: false }).compile({ ...schema, $ref: '#/definitions/MetaModel' });

describe('our model of the protocol', () => {
  it('has the published form of a meta-model', () => {
    isMetaModel(JSON.parse(text));
    expect(isMetaModel.errors).toBeNull();
  });

  it.each([
    ['a message without a direction', '"messageDirection":"clientToServer",', ''],
    ['a type of another kind', '"kind":"reference"', '"kind":"class"'],
    ['a base type of another name', '"name":"uinteger"', '"name":"number"'],
    ['a member of another name', '"optional":true', '"isOptional":true'],
  ])('would not with %s', (_what, before, after) => {
    expect(text).toContain(before);
    expect(isMetaModel(JSON.parse(text.replace(before, after)))).toBe(false);
  });

  it('defines each name once, all that are referred to, and no other', () => {
    const { requests, notifications, structures, enumerations, typeAliases } = metaModel;
    const defined = [...structures, ...enumerations, ...typeAliases].map(({ name }) => name);
    const referred = [...text.matchAll(/"kind":"reference","name":"([^"]+)"/g)].map(([, name]) => name as string);
    const inProgress = ['WorkDoneProgressBegin', 'WorkDoneProgressReport', 'WorkDoneProgressEnd'];
    expect(new Set(defined).size).toBe(defined.length);
    expect(new Set(defined)).toEqual(new Set([...referred, ...inProgress]));
    const methods = [...requests, ...notifications].map(({ method }) => method);
    expect(new Set(methods).size).toBe(methods.length);
    // As many as the pages of the protocol, 3.17, describe: 64 requests and 25 notifications, counted by hand; 3.18 added to both.
    expect(requests.length).toBeGreaterThanOrEqual(64);
    expect(notifications.length).toBeGreaterThanOrEqual(25);
  });

  it('judges messages the same once it was written to a file and read back', () => {
    const model = modelOf(JSON.parse(text) as MetaModel);
    const position = { line: 1, character: 2 };
    const judge = (value: unknown): readonly string[] => faultsOf(model, value, reference('CallHierarchyItem'), 'item');
    const item = { name: 'n', kind: 5, uri: 'file:///a', range: { start: position, end: position } };
    expect(judge({ ...item, selectionRange: item.range, data: { any: [null, 1.5, 'x'] } })).toEqual([]);
    expect(judge(item)).toEqual(['item has no selectionRange']);
    expect(judge({ ...item, kind: 27, selectionRange: item.range })).toEqual(['item.kind is 27, not one of SymbolKind']);
    expect(judge({ ...item, selectionRange: { start: position } })).toEqual(['item.selectionRange has no end']);
  });
});

/** Method, direction, parameters, part of a result; an empty text where there is none. */
const REQUESTS = [
  ['textDocument/diagnostic', 'clientToServer', 'DocumentDiagnosticParams', 'DocumentDiagnosticReportPartialResult'],
  ['workspace/diagnostic', 'clientToServer', 'WorkspaceDiagnosticParams', 'WorkspaceDiagnosticReportPartialResult'],
  ['workspace/diagnostic/refresh', 'serverToClient', '', ''],
  ['textDocument/inlayHint', 'clientToServer', 'InlayHintParams', 'InlayHint[]'],
  ['inlayHint/resolve', 'clientToServer', 'InlayHint', ''],
  ['workspace/inlayHint/refresh', 'serverToClient', '', ''],
  ['textDocument/prepareCallHierarchy', 'clientToServer', 'CallHierarchyPrepareParams', ''],
  ['callHierarchy/incomingCalls', 'clientToServer', 'CallHierarchyIncomingCallsParams', 'CallHierarchyIncomingCall[]'],
  ['callHierarchy/outgoingCalls', 'clientToServer', 'CallHierarchyOutgoingCallsParams', 'CallHierarchyOutgoingCall[]'],
  ['textDocument/documentColor', 'clientToServer', 'DocumentColorParams', 'ColorInformation[]'],
  ['textDocument/colorPresentation', 'clientToServer', 'ColorPresentationParams', 'ColorPresentation[]'],
  ['textDocument/foldingRange', 'clientToServer', 'FoldingRangeParams', 'FoldingRange[]'],
  ['workspace/foldingRange/refresh', 'serverToClient', '', ''],
  ['textDocument/selectionRange', 'clientToServer', 'SelectionRangeParams', 'SelectionRange[]'],
  ['textDocument/semanticTokens/full', 'clientToServer', 'SemanticTokensParams', 'SemanticTokensPartialResult'],
  ['textDocument/semanticTokens/range', 'clientToServer', 'SemanticTokensRangeParams', 'SemanticTokensPartialResult'],
  ['textDocument/definition', 'clientToServer', 'DefinitionParams', 'Location[] | DefinitionLink[]'],
  ['textDocument/references', 'clientToServer', 'ReferenceParams', 'Location[]'],
  ['textDocument/completion', 'clientToServer', 'CompletionParams', 'CompletionItem[]'],
  ['textDocument/hover', 'clientToServer', 'HoverParams', ''],
  ['workspace/workspaceFolders', 'serverToClient', '', ''],
  ['workspace/configuration', 'serverToClient', 'ConfigurationParams', ''],
  ['window/workDoneProgress/create', 'serverToClient', 'WorkDoneProgressCreateParams', ''],
  ['window/showMessageRequest', 'serverToClient', 'ShowMessageRequestParams', ''],
  ['client/registerCapability', 'serverToClient', 'RegistrationParams', ''],
  ['initialize', 'clientToServer', 'InitializeParams', ''],
  ['shutdown', 'clientToServer', '', ''],
] as const;

/** Results, as the published model writes them. */
const RESULTS: Readonly<Record<string, string>> = {
  'textDocument/diagnostic': 'DocumentDiagnosticReport',
  'workspace/diagnostic': 'WorkspaceDiagnosticReport',
  'workspace/diagnostic/refresh': 'null',
  'textDocument/inlayHint': 'InlayHint[] | null',
  'inlayHint/resolve': 'InlayHint',
  'textDocument/prepareCallHierarchy': 'CallHierarchyItem[] | null',
  'callHierarchy/incomingCalls': 'CallHierarchyIncomingCall[] | null',
  'textDocument/documentColor': 'ColorInformation[]',
  'textDocument/colorPresentation': 'ColorPresentation[]',
  'textDocument/semanticTokens/full': 'SemanticTokens | null',
  'textDocument/semanticTokens/full/delta': 'SemanticTokens | SemanticTokensDelta | null',
  'textDocument/definition': 'Definition | DefinitionLink[] | null',
  'textDocument/completion': 'CompletionItem[] | CompletionList | null',
  'workspace/configuration': 'LSPAny[]',
  shutdown: 'null',
};

/** Own properties with their types, a question mark where they may be missing; what is extended or mixed in behind three dots. */
const STRUCTURES = {
  InlayHint:
    'position: Position, label: string | InlayHintLabelPart[], kind?: InlayHintKind, textEdits?: TextEdit[], tooltip?: string | MarkupContent, paddingLeft?: boolean, paddingRight?: boolean, data?: LSPAny',
  InlayHintParams: 'textDocument: TextDocumentIdentifier, range: Range, ...WorkDoneProgressParams',
  CallHierarchyPrepareParams: '...TextDocumentPositionParams, ...WorkDoneProgressParams',
  CallHierarchyItem:
    'name: string, kind: SymbolKind, tags?: SymbolTag[], detail?: string, uri: DocumentUri, range: Range, selectionRange: Range, data?: LSPAny',
  CallHierarchyIncomingCallsParams: 'item: CallHierarchyItem, ...PartialResultParams, ...WorkDoneProgressParams',
  CallHierarchyIncomingCall: 'from: CallHierarchyItem, fromRanges: Range[]',
  CallHierarchyOutgoingCall: 'to: CallHierarchyItem, fromRanges: Range[]',
  CodeAction:
    'title: string, kind?: CodeActionKind, diagnostics?: Diagnostic[], isPreferred?: boolean, disabled?: CodeActionDisabled, edit?: WorkspaceEdit, command?: Command, data?: LSPAny',
  CodeActionParams:
    'textDocument: TextDocumentIdentifier, range: Range, context: CodeActionContext, ...PartialResultParams, ...WorkDoneProgressParams',
  Command: 'title: string, tooltip?: string, command: string, arguments?: LSPAny[]',
  CodeLens: 'range: Range, command?: Command, data?: LSPAny',
  DocumentLink: 'range: Range, target?: URI, tooltip?: string, data?: LSPAny',
  DocumentSymbol:
    'name: string, detail?: string, kind: SymbolKind, tags?: SymbolTag[], deprecated?: boolean, range: Range, selectionRange: Range, children?: DocumentSymbol[]',
  WorkspaceSymbol: 'location: Location | LocationUriOnly, data?: LSPAny, ...BaseSymbolInformation',
  DocumentDiagnosticParams:
    'textDocument: TextDocumentIdentifier, identifier?: string, previousResultId?: string, ...PartialResultParams, ...WorkDoneProgressParams',
  DocumentDiagnosticReportPartialResult:
    'relatedDocuments: { DocumentUri: FullDocumentDiagnosticReport | UnchangedDocumentDiagnosticReport }',
  DiagnosticServerCancellationData: 'retriggerRequest: boolean',
  DiagnosticRegistrationOptions: '...DiagnosticOptions, ...StaticRegistrationOptions, ...TextDocumentRegistrationOptions',
  WorkspaceDiagnosticParams:
    'identifier?: string, previousResultIds: PreviousResultId[], ...PartialResultParams, ...WorkDoneProgressParams',
  WorkspaceDiagnosticReport: 'items: WorkspaceDocumentDiagnosticReport[]',
  SemanticTokens: 'resultId?: string, data: uinteger[]',
  WorkspaceEdit:
    'changes?: { DocumentUri: TextEdit[] }, documentChanges?: (TextDocumentEdit | CreateFile | RenameFile | DeleteFile)[], changeAnnotations?: { ChangeAnnotationIdentifier: ChangeAnnotation }',
  ShowDocumentParams: 'uri: URI, external?: boolean, takeFocus?: boolean, selection?: Range',
  RegistrationParams: 'registrations: Registration[]',
  // Spelled so, in the protocol too.
  UnregistrationParams: 'unregisterations: Unregistration[]',
  InitializeParams: '...WorkspaceFoldersInitializeParams, ..._InitializeParams',
  InitializeResult: 'capabilities: ServerCapabilities, serverInfo?: ServerInfo',
  DidChangeConfigurationParams: 'settings: LSPAny',
  DidChangeConfigurationRegistrationOptions: 'section?: string | string[]',
  ShowMessageRequestParams: 'type: MessageType, message: string, actions?: MessageActionItem[]',
} as const;

/** Where 3.18 as it was released says more than the published model of that commit; each read in the declarations. */
const CHANGED_SINCE: Readonly<Record<string, string>> = {
  // Whole reports may come as parts, the first one has to.
  'parts of textDocument/diagnostic': 'DocumentDiagnosticReportProgress',
  // 'DefinitionLink' is another name of it.
  'parts of textDocument/definition': 'Location[] | LocationLink[]',
  'result of textDocument/definition': 'Definition | LocationLink[] | null',
  InlayHintParams: STRUCTURES.InlayHintParams.replace('...', '...PartialResultParams, ...'),
  CodeAction: `${STRUCTURES.CodeAction}, tags?: CodeActionTag[]`,
};

/** A type in a few characters. */
function inShort(type: Type | undefined): string {
  if (type === undefined) return '';
  switch (type.kind) {
    case 'base':
    case 'reference':
      return type.name;
    case 'array':
      return type.element.kind === 'or' ? `(${inShort(type.element)})[]` : `${inShort(type.element)}[]`;
    case 'map':
      return `{ ${inShort(type.key)}: ${inShort(type.value)} }`;
    case 'or':
      return type.items.map(inShort).join(' | ');
    default:
      return type.kind;
  }
}

function propertyInShort({ name, type, optional }: Property): string {
  return `${name}${optional === true ? '?' : ''}: ${inShort(type)}`;
}

describe('what the published meta-model says', () => {
  it.each(REQUESTS)('of %s is what ours says', (method, direction, params, part) => {
    const request = metaModel.requests.find((each) => each.method === method);
    expect(request).toMatchObject({ messageDirection: direction });
    const parts = CHANGED_SINCE[`parts of ${method}`] ?? part;
    expect([inShort(request?.params), inShort(request?.partialResult)]).toEqual([params, parts]);
  });

  it.each(Object.entries(RESULTS))('of the result of %s', (method, result) => {
    const found = metaModel.requests.find((each) => each.method === method)?.result;
    const choices = (CHANGED_SINCE[`result of ${method}`] ?? result).split(' | ').sort();
    expect(inShort(found).split(' | ').sort()).toEqual(choices);
  });

  it.each([
    ['textDocument/diagnostic', 'DiagnosticServerCancellationData'],
    ['workspace/diagnostic', 'DiagnosticServerCancellationData'],
    ['initialize', 'InitializeError'],
  ])('of the failure of %s', (method, data) => {
    expect(inShort(metaModel.requests.find((each) => each.method === method)?.errorData)).toBe(data);
  });

  it.each(['full', 'full/delta', 'range'])('of where textDocument/semanticTokens/%s is registered', (kind) => {
    const request = metaModel.requests.find(({ method }) => method === `textDocument/semanticTokens/${kind}`);
    expect(request?.registrationMethod).toBe('textDocument/semanticTokens');
  });

  it.each(Object.entries(STRUCTURES))('of %s', (name, members) => {
    const found = metaModel.structures.find((each) => each.name === name);
    const whole = [...(found?.extends ?? []), ...(found?.mixins ?? [])].map((each) => `...${inShort(each)}`).sort();
    expect([...(found?.properties ?? []).map(propertyInShort), ...whole].join(', ')).toBe(CHANGED_SINCE[name] ?? members);
  });
});
