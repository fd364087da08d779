import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { InitializeParams } from 'vscode-languageserver';
import { abilitiesOf, serverCapabilities } from '../../../server/src/lsp/capabilities.ts';

function abilities(capabilities: unknown, initializationOptions?: unknown): ReturnType<typeof abilitiesOf> {
  return abilitiesOf({ processId: null, rootUri: null, capabilities, initializationOptions } as InitializeParams);
}

describe('what a client can do', () => {
  it('is nothing where it says nothing', () => {
    const { columnUnit, soundEngineUri, ...rest } = abilities({});
    expect([columnUnit, soundEngineUri]).toEqual(['utf-16', null]);
    expect(Object.values(rest)).toEqual(Object.values(rest).map(() => false));
  });

  it('decides how fixes reach other files: by its command, or by an action that is resolved with what it was given', () => {
    const properties = ['command', 'edit'];
    const fixes = (codeAction: object, asksBeforeFixing = false): unknown =>
      abilities({ textDocument: { codeAction } }, { asksBeforeFixing }).fixesWorkspace;
    expect(fixes({ dataSupport: true, resolveSupport: { properties } })).toBe('by resolving');
    expect(fixes({ dataSupport: true, resolveSupport: { properties } }, true)).toBe('by asking');
    expect(fixes({ resolveSupport: { properties } })).toBe(false);
    expect(fixes({ dataSupport: true, resolveSupport: { properties: ['command'] } })).toBe(false);
  });

  it('is never guessed wrong into an error, whatever is sent', () => {
    fc.assert(
      fc.property(fc.anything(), fc.anything(), (capabilities, options) => {
        const found = abilities(capabilities, options);
        expect(['utf-8', 'utf-16', 'utf-32']).toContain(found.columnUnit);
        expect(serverCapabilities(found).textDocumentSync).toEqual({
          openClose: true,
          change: 2,
          ...(found.watchesFiles ? {} : { save: true }),
        });
      }),
    );
  });

  it.each([
    [['utf-8', 'utf-16'], 'utf-8'],
    [['utf-32'], 'utf-32'],
    [['utf-7', 'utf-16'], 'utf-16'],
    [[], 'utf-16'],
  ])('of the encodings %j the first known is %s', (positionEncodings, unit) => {
    expect(abilities({ general: { positionEncodings } }).columnUnit).toBe(unit);
  });
});

describe('what is offered', () => {
  it('is pull only to clients that pull', () => {
    expect(serverCapabilities(abilities({})).diagnosticProvider).toBeUndefined();
    const { diagnosticProvider } = serverCapabilities(abilities({ textDocument: { diagnostic: {} } }));
    expect(diagnosticProvider).toMatchObject({ interFileDependencies: true, workspaceDiagnostics: true });
  });

  it('is nothing we do not do', () => {
    const offered = Object.keys(serverCapabilities(abilities({ textDocument: { diagnostic: {}, completion: {}, rename: {} } })));
    expect(offered.sort()).toEqual([
      'callHierarchyProvider',
      'codeActionProvider',
      'codeLensProvider',
      'colorProvider',
      'completionProvider',
      'definitionProvider',
      'diagnosticProvider',
      'documentFormattingProvider',
      'documentLinkProvider',
      'documentRangeFormattingProvider',
      'documentSymbolProvider',
      'executeCommandProvider',
      'foldingRangeProvider',
      'hoverProvider',
      'inlayHintProvider',
      'positionEncoding',
      'referencesProvider',
      'renameProvider',
      'selectionRangeProvider',
      'semanticTokensProvider',
      'textDocumentSync',
      'workspace',
      'workspaceSymbolProvider',
    ]);
  });
});
