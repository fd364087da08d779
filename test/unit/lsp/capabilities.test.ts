import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { InitializeParams } from 'vscode-languageserver';
import { abilitiesOf, serverCapabilities } from '../../../server/src/lsp/capabilities.ts';

function abilities(capabilities: unknown, initializationOptions?: unknown): ReturnType<typeof abilitiesOf> {
  return abilitiesOf({ processId: null, rootUri: null, capabilities, initializationOptions } as InitializeParams);
}

describe('what a client can do', () => {
  it('is nothing where it says nothing', () => {
    const { columnUnit, ...rest } = abilities({});
    expect(columnUnit).toBe('utf-16');
    expect(Object.values(rest)).toEqual(Object.values(rest).map(() => false));
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
