/**
 * Holds a value from the wire against a type of the protocol, strictly: a member that the protocol does not know is a fault too, since
 * a client of another make will not know it either.
 */

import type { Property, ProtocolModel, Type } from './protocolModel.ts';

/** What is wrong with `value`, each with the path of its place; empty when it is as the protocol says. */
export function faultsOf(model: ProtocolModel, value: unknown, type: Type, path: string): readonly string[] {
  const wanted = resolve(model, type);
  const unless = (isRight: boolean, what: string): readonly string[] =>
    isRight ? [] : [`${path} is ${shown(value)}, not ${what}`];
  switch (wanted.kind) {
    case 'any':
      return [];
    case 'never':
      return [`${path} is ${shown(value)}, where nothing may stand`];
    case 'null':
      return unless(value === null, 'null');
    case 'string':
      return unless(typeof value === 'string', 'a string');
    case 'boolean':
      return unless(typeof value === 'boolean', 'true or false');
    case 'uri':
      return unless(typeof value === 'string' && /^[a-z][a-z0-9+.-]*:/i.test(value), 'a URI');
    case 'literal':
      return unless(value === wanted.value, JSON.stringify(wanted.value));
    case 'number': {
      const { least, most } = wanted;
      if (least === null || most === null) return unless(typeof value === 'number' && Number.isFinite(value), 'a number');
      return unless(Number.isInteger(value) && Number(value) >= least && Number(value) <= most, `whole, ${least} to ${most}`);
    }
    case 'array':
      if (!Array.isArray(value)) return unless(false, 'a list');
      return value.flatMap((each, at) => faultsOf(model, each, wanted.element, `${path}[${at}]`));
    case 'tuple':
      if (!Array.isArray(value) || value.length !== wanted.items.length) return unless(false, `${wanted.items.length} items`);
      return wanted.items.flatMap((each, at) => faultsOf(model, value[at], each, `${path}[${at}]`));
    case 'or':
      return nearest(wanted.items.map((each) => faultsOf(model, value, each, path)));
    case 'and':
    case 'structure':
      if (typeof value !== 'object' || value === null || Array.isArray(value)) return unless(false, 'a structure');
      return nearest(shapesOf(model, wanted).map((shape) => faultsOfShape(model, value, shape, path)));
    case 'reference':
      throw new Error(`${wanted.name} was not resolved`);
  }
}

interface Shape {
  readonly properties: ReadonlyMap<string, Property>;
  readonly others: Type | null;
}

/** The structures that a type stands for, its mixins and alternatives put together. */
function shapesOf(model: ProtocolModel, type: Type): readonly Shape[] {
  const wanted = resolve(model, type);
  if (wanted.kind === 'or') return wanted.items.flatMap((each) => shapesOf(model, each));
  if (wanted.kind === 'and') return wanted.items.map((each) => shapesOf(model, each)).reduce(combine);
  if (wanted.kind !== 'structure') throw new Error(`a ${wanted.kind} among structures`);
  return [...wanted.mixins.map((each) => shapesOf(model, each)), [wanted]].reduce(combine);
}

function combine(left: readonly Shape[], right: readonly Shape[]): readonly Shape[] {
  return left.flatMap((one) =>
    right.map((other) => ({
      properties: new Map([...one.properties, ...other.properties]),
      others: other.others ?? one.others,
    })),
  );
}

function faultsOfShape(model: ProtocolModel, value: object, { properties, others }: Shape, path: string): readonly string[] {
  const missing = [...properties].filter(([name, { isOptional }]) => !isOptional && !(name in value));
  const faults = missing.map(([name]) => `${path} has no ${name}`);
  for (const [name, member] of Object.entries(value)) {
    const type = properties.get(name)?.type ?? others;
    if (type === null) faults.push(`${path} has a member '${name}' that the protocol does not know`);
    else faults.push(...faultsOf(model, member, type, `${path}.${name}`));
  }
  return faults;
}

function resolve(model: ProtocolModel, type: Type): Type {
  let current = type;
  while (current.kind === 'reference') current = model.typeNamed(current.name);
  return current;
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
