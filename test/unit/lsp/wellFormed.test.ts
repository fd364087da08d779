/**
 * What counts as ill-formed is never more than the protocol asks for: the least that its declarations allow is taken, and so is
 * everything that a client may add.
 */

import { describe, expect, it } from 'vitest';
import { illFormedReason } from '../../../server/src/lsp/wellFormed.ts';
import { type ProtocolModel, protocolModel, type Type } from '../../protocol/model/protocolModel.ts';

const model = protocolModel();

/** The smallest value of a type: only the members that have to be there. */
function leastOf({ typeNamed }: ProtocolModel, type: Type): unknown {
  const least = (inner: Type): unknown => {
    switch (inner.kind) {
      case 'reference':
        return least(typeNamed(inner.name));
      case 'structure': {
        const required = [...inner.properties].filter(([, { isOptional }]) => !isOptional);
        return Object.assign(
          {},
          ...inner.mixins.map(least),
          Object.fromEntries(required.map(([name, property]) => [name, least(property.type)])),
        );
      }
      case 'and':
        return Object.assign({}, ...inner.items.map(least));
      case 'or':
        return least(inner.items[0] as Type);
      case 'tuple':
        return inner.items.map(least);
      case 'array':
        return [];
      case 'number':
        return 0;
      case 'literal':
        return inner.value;
      case 'string':
      case 'uri':
        return 'file:///a';
      case 'boolean':
        return false;
      default:
        return null;
    }
  };
  return least(type);
}

describe('parameters that the protocol allows', () => {
  it.each([...model.methods.keys()])('are taken at their least for %s', (method) => {
    const params = leastOf(model, model.methods.get(method)?.params as Type);
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
