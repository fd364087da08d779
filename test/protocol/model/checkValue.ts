/**
 * Holds a value from the wire against a type of the protocol, strictly: a member that the protocol does not know is a fault too, since
 * a client of another make will not know it either.
 */

import type { BaseName, Enumeration, Property, Type } from './metaModel.ts';
import type { ProtocolModel } from './protocolModel.ts';

/** What is wrong with `value`, each with the path of its place; empty when it is as the protocol says. */
export function faultsOf(model: ProtocolModel, value: unknown, type: Type, path: string): readonly string[] {
  const unless = (isRight: boolean, what: string): readonly string[] =>
    isRight ? [] : [`${path} is ${shown(value)}, not ${what}`];
  const isStructure = typeof value === 'object' && value !== null && !Array.isArray(value);
  switch (type.kind) {
    case 'base':
      return unless(BASES[type.name].holds(value), BASES[type.name].words);
    case 'stringLiteral':
    case 'integerLiteral':
    case 'booleanLiteral':
      return unless(value === type.value, JSON.stringify(type.value));
    case 'array':
      if (!Array.isArray(value)) return unless(false, 'a list');
      return value.flatMap((each, at) => faultsOf(model, each, type.element, `${path}[${at}]`));
    case 'map':
      if (!isStructure) return unless(false, 'a map');
      return Object.entries(value).flatMap(([key, each]) => [
        ...faultsOf(model, key, type.key, `a key of ${path}`),
        ...faultsOf(model, each, type.value, `${path}.${key}`),
      ]);
    case 'tuple':
      if (!Array.isArray(value) || value.length !== type.items.length) return unless(false, `${type.items.length} items`);
      return type.items.flatMap((each, at) => faultsOf(model, value[at], each, `${path}[${at}]`));
    case 'or':
      return nearest(type.items.map((each) => faultsOf(model, value, each, path)));
    case 'and':
    case 'literal':
      if (!isStructure) return unless(false, 'a structure');
      return nearest(shapesOf(model, type).map((shape) => faultsOfShape(model, value, shape, path)));
    case 'reference': {
      const found = model.definitionOf(type.name);
      if (found.kind === 'alias') return faultsOf(model, value, found.type, path);
      if (found.kind === 'enumeration') return unless(isOneOf(found.enumeration, value), `one of ${type.name}`);
      if (!isStructure) return unless(false, 'a structure');
      return nearest(shapesOf(model, type).map((shape) => faultsOfShape(model, value, shape, path)));
    }
  }
}

interface Base {
  readonly words: string;
  readonly holds: (value: unknown) => boolean;
}

const whole = (least: number, most: number): Base => ({
  words: `whole, ${least} to ${most}`,
  holds: (value) => Number.isInteger(value) && Number(value) >= least && Number(value) <= most,
});
const uri: Base = { words: 'a URI', holds: (value) => typeof value === 'string' && /^[a-z][a-z0-9+.-]*:/i.test(value) };

/** Source of the ranges: Language Server Protocol 3.17, 'Basic JSON Structures' (integer, uinteger). */
const BASES: Readonly<Record<BaseName, Base>> = {
  URI: uri,
  DocumentUri: uri,
  integer: whole(-(2 ** 31), 2 ** 31 - 1),
  uinteger: whole(0, 2 ** 31 - 1),
  decimal: { words: 'a number', holds: (value) => typeof value === 'number' && Number.isFinite(value) },
  string: { words: 'a string', holds: (value) => typeof value === 'string' },
  boolean: { words: 'true or false', holds: (value) => typeof value === 'boolean' },
  null: { words: 'null', holds: (value) => value === null },
};

function isOneOf({ type, values, supportsCustomValues }: Enumeration, value: unknown): boolean {
  return values.some((each) => each.value === value) || (supportsCustomValues === true && BASES[type.name].holds(value));
}

type Shape = ReadonlyMap<string, Property>;

/** The structures that a type stands for, what they extend and their alternatives put together. */
function shapesOf(model: ProtocolModel, type: Type): readonly Shape[] {
  if (type.kind === 'or') return type.items.flatMap((each) => shapesOf(model, each));
  if (type.kind === 'and') return type.items.map((each) => shapesOf(model, each)).reduce(combine);
  if (type.kind === 'literal') return [shapeOf(type.value.properties)];
  if (type.kind !== 'reference') throw new Error(`a ${type.kind} among structures`);
  const found = model.definitionOf(type.name);
  if (found.kind === 'alias') return shapesOf(model, found.type);
  if (found.kind !== 'structure') throw new Error(`${type.name} among structures`);
  const { properties, extends: ancestors = [], mixins = [] } = found.structure;
  return [...[...ancestors, ...mixins].map((each) => shapesOf(model, each)), [shapeOf(properties)]].reduce(combine);
}

function shapeOf(properties: readonly Property[]): Shape {
  return new Map(properties.map((property) => [property.name, property]));
}

function combine(left: readonly Shape[], right: readonly Shape[]): readonly Shape[] {
  return left.flatMap((one) => right.map((other) => new Map([...one, ...other])));
}

function faultsOfShape(model: ProtocolModel, value: object, shape: Shape, path: string): readonly string[] {
  const missing = [...shape.values()].filter(({ name, optional }) => optional !== true && !(name in value));
  const faults = missing.map(({ name }) => `${path} has no ${name}`);
  for (const [name, member] of Object.entries(value)) {
    const type = shape.get(name)?.type;
    if (type === undefined) faults.push(`${path} has a member '${name}' that the protocol does not know`);
    else faults.push(...faultsOf(model, member, type, `${path}.${name}`));
  }
  return faults;
}

/** Of several alternatives the one that fits, else the faults of the one that was followed deepest: most likely the one meant. */
function nearest(answers: readonly (readonly string[])[]): readonly string[] {
  const depth = (faults: readonly string[]): number => Math.max(...faults.map((fault) => fault.indexOf(' ')));
  return answers.reduce((best, each) => {
    if (best.length === 0 || each.length === 0) return best.length === 0 ? best : each;
    const deeper = depth(each) - depth(best);
    return deeper > 0 || (deeper === 0 && each.length < best.length) ? each : best;
  });
}

function shown(value: unknown): string {
  const text = JSON.stringify(value) ?? String(value);
  return text.length <= 60 ? text : `${text.slice(0, 60)}…`;
}
