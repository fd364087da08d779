/**
 * The Language Server Protocol as data: its methods, and what their parameters and results may hold.
 *
 * It is read from the type declarations of the published protocol packages, the same source that the protocol's own meta-model is
 * generated from; no package carries that model ready-made. Declarations are read as text, so nothing of the library runs here and
 * a mistake in it can't hide one in the server. A declaration that is needed and not understood here is an error, never a gap.
 */

import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import {
  type Directive,
  parseSync,
  type Statement,
  type TSLiteralType,
  type TSSignature,
  type TSType,
  type TSTypeName,
} from 'oxc-parser';

export type Type =
  | { readonly kind: 'any' | 'boolean' | 'never' | 'null' | 'string' | 'uri' }
  /** `least` and `most` are null for numbers that need not be whole. */
  | { readonly kind: 'number'; readonly least: number | null; readonly most: number | null }
  | { readonly kind: 'literal'; readonly value: string | number | boolean }
  | { readonly kind: 'or' | 'and' | 'tuple'; readonly items: readonly Type[] }
  | { readonly kind: 'array'; readonly element: Type }
  | { readonly kind: 'reference'; readonly name: string }
  | {
      readonly kind: 'structure';
      readonly properties: ReadonlyMap<string, Property>;
      readonly mixins: readonly Type[];
      /** Type of the members with names of any kind; null where there are none. */
      readonly others: Type | null;
    };

export interface Property {
  readonly type: Type;
  readonly isOptional: boolean;
}

export interface Method {
  readonly isRequest: boolean;
  readonly params: Type;
  readonly result: Type;
  readonly partialResult: Type;
  readonly registrationOptions: Type;
  /** Dotted path of what a client says it can do, and of what the server says it offers. */
  readonly clientCapability: string | null;
  readonly serverCapability: string | null;
}

export interface ProtocolModel {
  readonly methods: ReadonlyMap<string, Method>;
  /** Throws for a name that is declared nowhere. */
  readonly typeNamed: (name: string) => Type;
}

const packages = join(import.meta.dirname, '..', '..', '..', 'node_modules');
const NULL: Type = { kind: 'null' };
const whole = (least: number, most: number): Type => ({ kind: 'number', least, most });

/** Names with a meaning that their declarations only tell in words, and names of the JSON-RPC package. */
const KNOWN: Readonly<Record<string, Type>> = {
  DocumentUri: { kind: 'uri' },
  URI: { kind: 'uri' },
  integer: whole(-(2 ** 31), 2 ** 31 - 1),
  uinteger: whole(0, 2 ** 31 - 1),
  decimal: { kind: 'number', least: null, most: null },
  LSPAny: { kind: 'any' },
  ProgressToken: { kind: 'or', items: [whole(-(2 ** 31), 2 ** 31 - 1), { kind: 'string' }] },
  TraceValues: { kind: 'or', items: ['off', 'messages', 'compact', 'verbose'].map((value) => ({ kind: 'literal', value })) },
};

let model: ProtocolModel | null = null;

/** Read once for each process. */
export function protocolModel(): ProtocolModel {
  model ??= readModel();
  return model;
}

/** Read when they are first asked for: some declare classes of the library, which are never on the wire. */
type Declarations = Map<string, () => Type>;

function readModel(): ProtocolModel {
  const protocol = join(packages, 'vscode-languageserver-protocol', 'lib', 'common');
  const files = readdirSync(protocol)
    .filter((name) => /^protocol.*\.d\.ts$/.test(name))
    .map((name) => join(protocol, name));
  files.push(join(packages, 'vscode-languageserver-types', 'lib', 'esm', 'main.d.ts'));
  const types: Declarations = new Map();
  const read = new Map<string, Type>();
  const methods = new Map<string, Method>();
  for (const file of files) {
    const { program, errors } = parseSync(file, readFileSync(file, 'utf8'));
    if (errors.length > 0) throw new Error(`${file}: ${errors[0]?.message}`);
    for (const statement of program.body) readStatement(statement, types, methods);
  }
  return {
    methods,
    typeNamed: (name) => {
      const type = KNOWN[name] ?? read.get(name) ?? types.get(name)?.();
      if (type === undefined) throw new Error(`the protocol's declarations hold no ${name}`);
      read.set(name, type);
      return type;
    },
  };
}

function readStatement(outer: Directive | Statement, types: Declarations, methods: Map<string, Method>): void {
  const statement = outer.type === 'ExportNamedDeclaration' ? outer.declaration : outer;
  if (statement === null) return;
  if (statement.type === 'TSInterfaceDeclaration') {
    const mixins = statement.extends.map(({ expression }): Type => {
      if (expression.type !== 'Identifier') throw new Error(`${statement.id.name} extends something that has no name`);
      return { kind: 'reference', name: expression.name };
    });
    const parameters = statement.typeParameters?.params.map(({ name }) => name.name) ?? [];
    types.set(statement.id.name, () => structureOf(statement.body.body, mixins, parameters));
  } else if (statement.type === 'TSTypeAliasDeclaration') {
    const parameters = statement.typeParameters?.params.map(({ name }) => name.name) ?? [];
    types.set(statement.id.name, () => typeOf(statement.typeAnnotation, parameters));
  } else if (statement.type === 'TSModuleDeclaration' && statement.id.type === 'Identifier') {
    const body = statement.body?.type === 'TSModuleBlock' ? statement.body.body : [];
    readNamespace(statement.id.name, constantsOf(body), types, methods);
  }
}

/** What a namespace declares with `const`: the type written, or the literal it is set to. */
function constantsOf(body: readonly (Directive | Statement)[]): ReadonlyMap<string, TSType | Type> {
  const constants = new Map<string, TSType | Type>();
  for (const outer of body) {
    const statement = outer.type === 'ExportNamedDeclaration' ? outer.declaration : outer;
    if (statement?.type !== 'VariableDeclaration') continue;
    for (const { id, init } of statement.declarations) {
      if (id.type !== 'Identifier') continue;
      if (id.typeAnnotation) constants.set(id.name, id.typeAnnotation.typeAnnotation);
      else if (init?.type === 'Literal') constants.set(id.name, { kind: 'literal', value: init.value as string | number });
    }
  }
  return constants;
}

/** A namespace describes a method of the protocol, or the values of an enumeration. */
function readNamespace(
  name: string,
  constants: ReadonlyMap<string, TSType | Type>,
  types: Declarations,
  methods: Map<string, Method>,
): void {
  const written = (constant: string): TSType | null => {
    const found = constants.get(constant);
    return found !== undefined && 'type' in found ? found : null;
  };
  const type = written('type');
  const method = written('method');
  if (method?.type === 'TSLiteralType' && type?.type === 'TSTypeReference') {
    const named = nameOf(type.typeName);
    const given = (type.typeArguments?.params ?? []).map((each) => typeOf(each, []));
    const isRequest = named.startsWith('ProtocolRequestType');
    if (!isRequest && !named.startsWith('ProtocolNotificationType')) return;
    const hasParams = !named.endsWith('0');
    const [params, result, partialResult, , registrationOptions] = isRequest
      ? [...(hasParams ? [] : [NULL]), ...given]
      : [hasParams ? given[0] : NULL, NULL, NULL, NULL, given[hasParams ? 1 : 0]];
    const capabilities = written('capabilities');
    const [client, server] = capabilities?.type === 'TSTypeReference' ? (capabilities.typeArguments?.params ?? []) : [];
    methods.set(String(literalValue(method)), {
      isRequest,
      params: params ?? NULL,
      result: result ?? NULL,
      partialResult: partialResult ?? NULL,
      registrationOptions: registrationOptions ?? NULL,
      clientCapability: literalText(client),
      serverCapability: literalText(server),
    });
    return;
  }
  for (const [constant, value] of constants) {
    // Functions, registration types and the like are no values on the wire.
    if (!('type' in value)) types.set(`${name}.${constant}`, () => value);
    else if (value.type === 'TSLiteralType') types.set(`${name}.${constant}`, () => typeOf(value, []));
  }
}

function literalValue({ literal }: TSLiteralType): string | number | boolean {
  if (literal.type === 'Literal') return literal.value as string | number | boolean;
  if (literal.type === 'TemplateLiteral' && literal.expressions.length === 0) return literal.quasis[0]?.value.raw ?? '';
  if (literal.type === 'UnaryExpression' && literal.argument.type === 'Literal') return -Number(literal.argument.value);
  throw new Error(`a literal of the kind ${literal.type}`);
}

function literalText(type: TSType | undefined): string | null {
  return type?.type === 'TSLiteralType' ? String(literalValue(type)) : null;
}

function nameOf(name: TSTypeName): string {
  if (name.type === 'Identifier') return name.name;
  if (name.type === 'TSQualifiedName') return `${nameOf(name.left)}.${name.right.name}`;
  throw new Error('a type named after this');
}

function structureOf(members: readonly TSSignature[], mixins: readonly Type[], parameters: readonly string[]): Type {
  const properties = new Map<string, Property>();
  let others: Type | null = null;
  for (const member of members) {
    if (member.type === 'TSIndexSignature') {
      others = typeOf(member.typeAnnotation.typeAnnotation, parameters);
    } else if (member.type === 'TSPropertySignature' && member.typeAnnotation && 'name' in member.key) {
      const type = typeOf(member.typeAnnotation.typeAnnotation, parameters);
      properties.set(String(member.key.name), { type, isOptional: member.optional });
    } else {
      throw new Error(`a member of the kind ${member.type}`);
    }
  }
  return { kind: 'structure', properties, mixins, others };
}

/** `parameters` are names of type parameters in scope; the protocol's stand for anything. */
function typeOf(type: TSType, parameters: readonly string[]): Type {
  switch (type.type) {
    case 'TSAnyKeyword':
    case 'TSUnknownKeyword':
    case 'TSObjectKeyword':
      return { kind: 'any' };
    case 'TSStringKeyword':
      return { kind: 'string' };
    case 'TSBooleanKeyword':
      return { kind: 'boolean' };
    case 'TSNumberKeyword':
      return { kind: 'number', least: null, most: null };
    case 'TSNullKeyword':
    case 'TSVoidKeyword':
      return NULL;
    // Written where JSON has nothing to show; an optional member without a value is left out.
    case 'TSUndefinedKeyword':
    case 'TSNeverKeyword':
      return { kind: 'never' };
    case 'TSParenthesizedType':
      return typeOf(type.typeAnnotation, parameters);
    case 'TSArrayType':
      return { kind: 'array', element: typeOf(type.elementType, parameters) };
    case 'TSUnionType':
      return { kind: 'or', items: type.types.map((each) => typeOf(each, parameters)) };
    case 'TSIntersectionType':
      return { kind: 'and', items: type.types.map((each) => typeOf(each, parameters)) };
    case 'TSTupleType':
      return { kind: 'tuple', items: type.elementTypes.map((each) => typeOf(each as TSType, parameters)) };
    case 'TSTypeLiteral':
      return structureOf(type.members, [], parameters);
    case 'TSTypeQuery':
      return { kind: 'reference', name: nameOf(type.exprName as TSTypeName) };
    case 'TSLiteralType':
      return { kind: 'literal', value: literalValue(type) };
    case 'TSTypeReference': {
      const name = nameOf(type.typeName);
      return parameters.includes(name) ? { kind: 'any' } : { kind: 'reference', name };
    }
  }
  throw new Error(`a type of the kind ${type.type}`);
}
