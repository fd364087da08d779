import { describe, expect, it } from 'vitest';
import { documentKindOf, fileNameOf } from '../../../server/src/lsp/documentKind.ts';

describe('what a document is', () => {
  it.each([
    ['file:///cut/one.otio', 'json', { kind: 'timeline', format: 'otio' }],
    ['file:///cut/ONE.EDL', 'plaintext', { kind: 'timeline', format: 'edl' }],
    ['file:///cut/one.timeline.xml', 'xml', { kind: 'timeline', format: 'xml' }],
    ['file:///cut/day1.alignment.json', 'jsonc', { kind: 'alignment' }],
    ['file:///cut/afterclap.json', 'json', { kind: 'settings' }],
    ['file:///cut/day%201.alignment.json', 'json', { kind: 'alignment' }],
    ['untitled:Untitled-1', 'afterclap-edl', { kind: 'timeline', format: 'edl' }],
    ['file:///cut/package.json', 'json', null],
    ['file:///cut/feed.xml', 'xml', null],
  ])('%s in language %s', (uri, language, kind) => {
    expect(documentKindOf(uri, language)).toEqual(kind);
  });

  it('keeps a stray percent sign in a name', () => {
    expect(fileNameOf('file:///cut/100%.edl')).toBe('100%.edl');
  });
});
