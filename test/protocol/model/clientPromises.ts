/**
 * What a server may send depends on what the client said it can take. These are the rules for the answers and messages of this server.
 *
 * Source: Language Server Protocol 3.17, the 'Client Capability' paragraph of each method.
 */

// biome-ignore lint/suspicious/noExplicitAny: what is checked here may be anything
type Any = any;

/** Looks a dotted path up in the client's capabilities. */
export type Capabilities = (path: string) => Any;

export function capabilitiesIn(capabilities: unknown): Capabilities {
  return (path) => path.split('.').reduce((current: Any, name) => current?.[name], capabilities);
}

/** A request of the server that needs a capability: its path; null where there is none. */
export function neededFor(method: string, declared: string | null): string | null {
  // What shows such documents can be asked to show them anew; the declarations say so nowhere.
  if (method === 'workspace/textDocumentContent/refresh') return 'workspace.textDocumentContent';
  // The declarations name the section of these two and leave the member to the text.
  const refresh = /^workspace\/(codeLens|semanticTokens)\/refresh$/.exec(method);
  return refresh === null ? declared : `workspace.${refresh[1]}.refreshSupport`;
}

/** Parts of a result, or of the parameters of the server's own message, that this client did not say it takes. */
export function unpromised(method: string, content: Any, can: Capabilities): readonly string[] {
  const list: readonly Any[] = Array.isArray(content) ? content : [];
  const faults: string[] = [];
  const needs = (capability: string, what: string): void => {
    if (!can(capability)) faults.push(`sends ${what}, though the client has no ${capability}`);
  };
  switch (method) {
    case 'textDocument/hover':
      if (content?.contents?.kind === 'markdown' && !can('textDocument.hover.contentFormat')?.includes?.('markdown')) {
        faults.push('is Markdown, which the client does not take');
      }
      break;
    case 'textDocument/documentSymbol':
      if (list.some((each) => 'selectionRange' in each)) {
        needs('textDocument.documentSymbol.hierarchicalDocumentSymbolSupport', 'a tree');
      }
      break;
    case 'textDocument/definition':
      if (list.some((each) => 'targetUri' in each)) needs('textDocument.definition.linkSupport', 'links');
      break;
    case 'textDocument/codeAction':
      for (const action of list) {
        if (typeof action.command !== 'string') needs('textDocument.codeAction.codeActionLiteralSupport', 'an action');
        if (action.isPreferred !== undefined) needs('textDocument.codeAction.isPreferredSupport', 'isPreferred');
        if (action.data !== undefined) needs('textDocument.codeAction.dataSupport', 'data');
        if (action.edit !== undefined) faults.push(...unpromisedEdit(action.edit, can));
      }
      break;
    case 'codeAction/resolve':
      faults.push(...unpromisedEdit(content?.edit, can));
      break;
    case 'textDocument/rename':
      faults.push(...unpromisedEdit(content, can));
      break;
    case 'workspace/applyEdit':
      faults.push(...unpromisedEdit(content?.edit, can));
      break;
    case 'textDocument/publishDiagnostics':
      if (content?.version !== undefined) needs('textDocument.publishDiagnostics.versionSupport', 'version');
      faults.push(...unpromisedDiagnostics(content?.diagnostics, ['publishDiagnostics'], can));
      break;
    case 'textDocument/diagnostic':
      faults.push(...unpromisedDiagnostics(content?.items, ['diagnostic', 'publishDiagnostics'], can));
      break;
    case 'workspace/diagnostic':
      for (const { items } of content?.items ?? []) {
        faults.push(...unpromisedDiagnostics(items, ['diagnostic', 'publishDiagnostics'], can));
      }
      break;
  }
  return faults;
}

function unpromisedEdit(edit: Any, can: Capabilities): readonly string[] {
  const faults: string[] = [];
  if (edit?.documentChanges !== undefined && !can('workspace.workspaceEdit.documentChanges')) {
    faults.push('sends documentChanges, though the client takes none');
  }
  if (edit?.changeAnnotations !== undefined && !can('workspace.workspaceEdit.changeAnnotationSupport')) {
    faults.push('sends changeAnnotations, though the client takes none');
  }
  return faults;
}

const DIAGNOSTIC_MEMBERS = [
  ['relatedInformation', 'relatedInformation'],
  ['tags', 'tagSupport'],
  ['codeDescription', 'codeDescriptionSupport'],
  ['data', 'dataSupport'],
] as const;

/** Editors say how they show diagnostics in either section, whichever way they get them. */
function unpromisedDiagnostics(diagnostics: Any, sections: readonly string[], can: Capabilities): readonly string[] {
  const list: readonly Any[] = diagnostics ?? [];
  const isOffered = (ability: string): boolean => sections.some((section) => Boolean(can(`textDocument.${section}.${ability}`)));
  const faults = DIAGNOSTIC_MEMBERS.filter(
    ([member, ability]) => list.some((each) => each[member] !== undefined) && !isOffered(ability),
  ).map(([member, ability]) => `sends ${member}, though the client has no ${ability}`);
  if (list.some(({ message }) => typeof message !== 'string')) faults.push('sends a message that is no string');
  return faults;
}
