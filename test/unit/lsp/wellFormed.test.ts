/**
 * What counts as ill-formed is never more than the protocol asks for: the least that its declarations allow is taken, and so is
 * everything that a client may add.
 */

import { describe, expect, it } from 'vitest';
import { illFormedReason } from '../../../server/src/lsp/wellFormed.ts';
import type { Property, Type } from '../../protocol/model/metaModel.ts';
import { protocolModel } from '../../protocol/model/protocolModel.ts';

const model = protocolModel();

/** The smallest value of a type: only the members that have to be there. */
function leastOf(type: Type): unknown {
  switch (type.kind) {
    case 'reference': {
      const found = model.definitionOf(type.name);
      if (found.kind === 'alias') return leastOf(found.type);
      if (found.kind === 'enumeration') return found.enumeration.values[0]?.value;
      const { properties, extends: ancestors = [], mixins = [] } = found.structure;
      return Object.assign({}, ...[...ancestors, ...mixins].map(leastOf), leastMembers(properties));
    }
    case 'literal':
      return leastMembers(type.value.properties);
    case 'and':
      return Object.assign({}, ...type.items.map(leastOf));
    case 'or':
      return leastOf(type.items[0] as Type);
    case 'tuple':
      return type.items.map(leastOf);
    case 'array':
      return [];
    case 'map':
      return {};
    case 'base':
      return {
        null: null,
        boolean: false,
        integer: 0,
        uinteger: 0,
        decimal: 0,
        string: 'a',
        URI: 'file:///a',
        DocumentUri: 'file:///a',
      }[type.name];
    default:
      return type.value;
  }
}

function leastMembers(properties: readonly Property[]): object {
  const required = properties.filter(({ optional }) => optional !== true);
  return Object.fromEntries(required.map(({ name, type }) => [name, leastOf(type)]));
}

describe('parameters that the protocol allows', () => {
  it.each([...model.methods.keys()])('are taken at their least for %s', (method) => {
    const params = leastOf(model.methods.get(method)?.params as Type);
    expect(illFormedReason(method, params)).toBeNull();
    if (typeof params === 'object') expect(illFormedReason(method, { ...params, workDoneToken: 1, afterclap: null })).toBeNull();
  });

  it('may be numbers outside the text', () => {
    const far = { line: -7, character: 4e9 };
    expect(illFormedReason('textDocument/hover', { textDocument: { uri: 'a' }, position: far })).toBeNull();
  });
});

describe('parameters that it does not', () => {
  it.each([
    ['textDocument/hover', undefined, "'params' is missing; it has to be an object."],
    ['textDocument/hover', null, "'params' has to be an object, and is not."],
    ['textDocument/hover', [{}], "'params' has to be an object, and is not."],
    ['textDocument/hover', {}, "'params.textDocument' is missing; it has to be an object."],
    ['textDocument/hover', { textDocument: {} }, "'params.textDocument.uri' is missing; it has to be a string."],
    ['textDocument/hover', { textDocument: { uri: 7 } }, "'params.textDocument.uri' has to be a string, and is not."],
    [
      'textDocument/selectionRange',
      { textDocument: { uri: 'a' }, positions: [null] },
      "'params.positions[0]' has to be an object",
    ],
    [
      'textDocument/didChange',
      { textDocument: { uri: 'a' }, contentChanges: [{ text: '' }, { range: {}, text: '' }] },
      "'params.contentChanges[1].range.start' is missing",
    ],
  ])('are named for %s: %j', (method, params, reason) => expect(illFormedReason(method, params)).toContain(reason));

  it('are nothing for methods that read none', () => {
    for (const method of ['shutdown', 'constructor', 'toString', 'afterclap/nonsense'])
      expect(illFormedReason(method, 7)).toBeNull();
  });
});
