/**
 * Writes the protocol's meta-model from the type declarations of the published protocol packages.
 *
 * Declarations are the source that the published meta-model is generated from. They are read as text, so nothing of the library runs
 * here and a mistake in it can't hide one in the server. A declaration that is needed and not understood here is an error, never a gap.
 *
 * What the form can't hold is left out as the published meta-model leaves it out: members of any name beside named ones
 * (FormattingOptions, InitializeResult, MessageActionItem), type parameters (they stand for anything), and the difference between
 * 'extends' and 'mixins', which declarations don't tell: all are written as 'extends'.
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
import {
  type BaseName,
  base,
  type Direction,
  type Enumeration,
  type MetaModel,
  type Notification,
  type Property,
  type Request,
  reference,
  type Structure,
  type Type,
  type TypeAlias,
} from './metaModel.ts';

const packages = join(import.meta.dirname, '..', '..', '..', 'node_modules');
const protocol = join(packages, 'vscode-languageserver-protocol');

/** Types of the protocol that its declarations write as types of the language. */
const BASE_NAMES: readonly string[] = ['DocumentUri', 'URI', 'integer', 'uinteger', 'decimal'] satisfies readonly BaseName[];

/**
 * What the declarations leave to the JSON-RPC package, or to words. Source: Language Server Protocol 3.17, 'Base Protocol' ('LSPAny',
 * '$/cancelRequest', '$/progress'), 'Trace Value', '$/setTrace', '$/logTrace'.
 */
const BY_HAND: Pick<MetaModel, 'notifications' | 'structures' | 'enumerations' | 'typeAliases'> = {
  notifications: [
    { method: '$/cancelRequest', messageDirection: 'both', params: reference('CancelParams') },
    { method: '$/progress', messageDirection: 'both', params: reference('ProgressParams') },
    { method: '$/setTrace', messageDirection: 'clientToServer', params: reference('SetTraceParams') },
    { method: '$/logTrace', messageDirection: 'serverToClient', params: reference('LogTraceParams') },
  ],
  structures: [
    { name: 'CancelParams', properties: [{ name: 'id', type: { kind: 'or', items: [base('integer'), base('string')] } }] },
    {
      name: 'ProgressParams',
      properties: [
        { name: 'token', type: reference('ProgressToken') },
        { name: 'value', type: reference('LSPAny') },
      ],
    },
    { name: 'SetTraceParams', properties: [{ name: 'value', type: reference('TraceValue') }] },
    {
      name: 'LogTraceParams',
      properties: [
        { name: 'message', type: base('string') },
        { name: 'verbose', type: base('string'), optional: true },
      ],
    },
  ],
  enumerations: [
    {
      name: 'TraceValue',
      type: { kind: 'base', name: 'string' },
      values: ['Off', 'Messages', 'Verbose'].map((name) => ({ name, value: name.toLowerCase() })),
    },
  ],
  typeAliases: [
    { name: 'ProgressToken', type: { kind: 'or', items: [base('integer'), base('string')] } },
    {
      name: 'LSPAny',
      type: {
        kind: 'or',
        items: [
          reference('LSPObject'),
          reference('LSPArray'),
          ...(['string', 'integer', 'uinteger', 'decimal', 'boolean', 'null'] as const).map(base),
        ],
      },
    },
    { name: 'LSPObject', type: { kind: 'map', key: base('string'), value: reference('LSPAny') } },
    { name: 'LSPArray', type: { kind: 'array', element: reference('LSPAny') } },
  ],
};

/** Sent in `$/progress`, whose parameters say of its value only that it may be anything. */
const INSIDE_OTHERS = ['WorkDoneProgressBegin', 'WorkDoneProgressReport', 'WorkDoneProgressEnd'];

/** Names that a type may use: type parameters, which stand for anything, and the constants of namespaces. */
interface Scope {
  readonly parameters: readonly string[];
  readonly constants: Declared['constants'];
}

/** What is declared, by name. Types are read when they are needed: some declare classes of the library, which are never on the wire. */
interface Declared {
  readonly types: Map<string, () => Structure | TypeAlias>;
  /** What a namespace declares with `const`. */
  readonly constants: Map<string, ReadonlyMap<string, TSType | string | number>>;
  /** Of the namespaces that describe a message. */
  readonly directions: Map<string, Direction>;
}

export function readDeclarations(): MetaModel {
  const declared: Declared = { types: new Map(), constants: new Map(), directions: new Map() };
  const folder = join(protocol, 'lib', 'common');
  for (const name of readdirSync(folder).filter((each) => /^protocol.*\.d\.ts$/.test(each))) {
    readFile(join(folder, name), declared);
    // Declarations give this constant no value; the code beside them does.
    const code = readFileSync(join(folder, name.replace(/\.d\.ts$/, '.js')), 'utf8');
    for (const [, namespace, direction] of code.matchAll(/(\w+)\.messageDirection = \w+\.MessageDirection\.(\w+);/g))
      declared.directions.set(namespace as string, direction as Direction);
  }
  readFile(join(packages, 'vscode-languageserver-types', 'lib', 'esm', 'main.d.ts'), declared);
  const messages = [...declared.constants.keys()].flatMap((namespace) => messageOf(namespace, declared) ?? []);
  const { version } = JSON.parse(readFileSync(join(protocol, 'package.json'), 'utf8')) as { version: string };
  const requests = messages.filter((message): message is Request => 'result' in message);
  const notifications = [...messages.filter((message) => !('result' in message)), ...BY_HAND.notifications];
  return { metaData: { version }, requests, notifications, ...definitionsFor([requests, notifications], declared) };
}

function readFile(file: string, { types, constants }: Declared): void {
  const { program, errors } = parseSync(file, readFileSync(file, 'utf8'));
  if (errors.length > 0) throw new Error(`${file}: ${errors[0]?.message}`);
  for (const outer of program.body) {
    const statement = outer.type === 'ExportNamedDeclaration' ? outer.declaration : outer;
    if (statement?.type === 'TSInterfaceDeclaration') {
      const { name } = statement.id;
      const ancestors = statement.extends.map(({ expression }): Type => {
        if (expression.type !== 'Identifier') throw new Error(`${name} extends something that has no name`);
        return reference(expression.name);
      });
      const scope = { parameters: statement.typeParameters?.params.map((each) => each.name.name) ?? [], constants };
      types.set(name, () => namedOf(name, typeOfMembers(statement.body.body, scope), ancestors));
    } else if (statement?.type === 'TSTypeAliasDeclaration') {
      const { name } = statement.id;
      const scope = { parameters: statement.typeParameters?.params.map((each) => each.name.name) ?? [], constants };
      types.set(name, () => namedOf(name, typeOf(statement.typeAnnotation, scope), []));
    } else if (statement?.type === 'TSModuleDeclaration' && statement.id.type === 'Identifier') {
      const body = statement.body?.type === 'TSModuleBlock' ? statement.body.body : [];
      constants.set(statement.id.name, constantsOf(body));
    }
  }
}

/** A structure where the type is one, or several put together; else another name for the type. */
function namedOf(name: string, type: Type, ancestors: readonly Type[]): Structure | TypeAlias {
  const parts = type.kind === 'and' ? type.items : [type];
  if (parts.some(({ kind }) => kind !== 'literal' && (kind !== 'reference' || type.kind !== 'and'))) return { name, type };
  const properties = parts.flatMap((part) => (part.kind === 'literal' ? part.value.properties : []));
  const all = [...ancestors, ...parts.filter(({ kind }) => kind === 'reference')];
  return { name, properties, ...(all.length === 0 ? {} : { extends: all }) };
}

function constantsOf(body: readonly (Directive | Statement)[]): ReadonlyMap<string, TSType | string | number> {
  const constants = new Map<string, TSType | string | number>();
  for (const outer of body) {
    const statement = outer.type === 'ExportNamedDeclaration' ? outer.declaration : outer;
    if (statement?.type !== 'VariableDeclaration') continue;
    for (const { id, init } of statement.declarations) {
      if (id.type !== 'Identifier') continue;
      if (id.typeAnnotation) constants.set(id.name, id.typeAnnotation.typeAnnotation);
      else if (init?.type === 'Literal') constants.set(id.name, init.value as string | number);
    }
  }
  return constants;
}

/** The message that a namespace describes; null where it describes something else. */
function messageOf(namespace: string, { constants, directions }: Declared): Request | Notification | null {
  const written = (constant: string): TSType | null => {
    const found = constants.get(namespace)?.get(constant);
    return typeof found === 'object' ? found : null;
  };
  const [type, method] = [written('type'), written('method')];
  if (method?.type !== 'TSLiteralType' || type?.type !== 'TSTypeReference') return null;
  const kind = /^Protocol(Request|Notification)Type(0?)$/.exec(nameOf(type.typeName));
  if (kind === null) return null;
  const given = (type.typeArguments?.params ?? []).map((each) =>
    isNothing(each) ? undefined : typeOf(each, { parameters: [], constants }),
  );
  if (kind[2] === '0') given.unshift(undefined);
  const messageDirection = directions.get(namespace);
  if (messageDirection === undefined) throw new Error(`nothing says who sends what ${namespace} describes`);
  const capabilities = written('capabilities');
  const [client, server] = capabilities?.type === 'TSTypeReference' ? (capabilities.typeArguments?.params ?? []) : [];
  const registration = written('registrationMethod');
  const both = (params: Type | undefined, registrationOptions: Type | undefined): Notification => ({
    method: String(literalValue(method)),
    messageDirection,
    ...(params && { params }),
    ...(registration?.type === 'TSTypeQuery' && { registrationMethod: String(valueNamed(registration, constants)) }),
    ...(registrationOptions && { registrationOptions }),
    ...(client?.type === 'TSLiteralType' && { clientCapability: String(literalValue(client)) }),
    ...(server?.type === 'TSLiteralType' && { serverCapability: String(literalValue(server)) }),
  });
  if (kind[1] === 'Notification') return both(given[0], given[1]);
  const [params, result = base('null'), partialResult, errorData, registrationOptions] = given;
  return {
    ...both(params, registrationOptions),
    result,
    ...(partialResult && { partialResult }),
    ...(errorData && { errorData }),
  };
}

function isNothing({ type }: TSType): boolean {
  return type === 'TSVoidKeyword' || type === 'TSNeverKeyword' || type === 'TSUndefinedKeyword';
}

/** The value of a constant of another namespace. */
function valueNamed(
  { exprName }: Extract<TSType, { type: 'TSTypeQuery' }>,
  constants: Declared['constants'],
): string | number | boolean {
  const [namespace = '', constant = ''] = nameOf(exprName as TSTypeName).split('.');
  const found = constants.get(namespace)?.get(constant);
  if (typeof found === 'string' || typeof found === 'number') return found;
  if (found?.type !== 'TSLiteralType') throw new Error(`no value is declared as ${namespace}.${constant}`);
  return literalValue(found);
}

/** Everything that messages refer to, and what that refers to in turn. */
function definitionsFor(
  messages: unknown,
  { types, constants }: Declared,
): Pick<MetaModel, 'structures' | 'enumerations' | 'typeAliases'> {
  const byHand = [...BY_HAND.structures, ...BY_HAND.enumerations, ...BY_HAND.typeAliases];
  const found = new Map<string, Structure | Enumeration | TypeAlias>();
  const waiting = [...INSIDE_OTHERS, ...namesIn(messages)];
  for (let name = waiting.pop(); name !== undefined; name = waiting.pop()) {
    if (found.has(name)) continue;
    const declared = byHand.find((each) => each.name === name) ?? types.get(name)?.();
    if (declared === undefined) throw new Error(`the protocol's declarations hold no ${name}`);
    const definition = enumerationOf(declared, constants) ?? declared;
    found.set(name, definition);
    waiting.push(...namesIn(definition));
  }
  const all = [...found.values()].sort((left, right) => (left.name < right.name ? -1 : 1));
  return {
    structures: all.filter((each): each is Structure => 'properties' in each),
    enumerations: all.filter((each): each is Enumeration => 'values' in each),
    typeAliases: all.filter((each): each is TypeAlias => !('properties' in each || 'values' in each)),
  };
}

function namesIn(value: unknown): readonly string[] {
  if (typeof value !== 'object' || value === null) return [];
  const { kind, name } = value as { readonly kind?: unknown; readonly name?: unknown };
  return kind === 'reference' && typeof name === 'string' ? [name] : Object.values(value).flatMap(namesIn);
}

/** A type that has a namespace with its values: of them alone, or of others besides where it is declared as any text or number. */
function enumerationOf(declared: Structure | Enumeration | TypeAlias, constants: Declared['constants']): Enumeration | null {
  if ('properties' in declared || 'values' in declared) return null;
  const { name, type } = declared;
  const values = [...(constants.get(name) ?? [])].flatMap(([constant, value]) => {
    if (typeof value !== 'object') return [{ name: constant, value }];
    return value.type === 'TSLiteralType' ? [{ name: constant, value: literalValue(value) as string | number }] : [];
  });
  if (values.length === 0) return null;
  if (type.kind === 'base' && (type.name === 'string' || type.name === 'integer' || type.name === 'uinteger'))
    return { name, type: { kind: 'base', name: type.name }, values, supportsCustomValues: true };
  const allowed = (type.kind === 'or' ? type.items : [type]).map((each) => ('value' in each ? each.value : null));
  if (allowed.some((each) => !values.some(({ value }) => value === each))) return null;
  const isText = values.every(({ value }) => typeof value === 'string');
  const least = isText ? 'string' : values.some(({ value }) => Number(value) < 0) ? 'integer' : 'uinteger';
  return { name, type: { kind: 'base', name: least }, values: values.filter(({ value }) => allowed.includes(value)) };
}

function literalValue({ literal }: TSLiteralType): string | number | boolean {
  if (literal.type === 'Literal') return literal.value as string | number | boolean;
  if (literal.type === 'TemplateLiteral' && literal.expressions.length === 0) return literal.quasis[0]?.value.raw ?? '';
  if (literal.type === 'UnaryExpression' && literal.argument.type === 'Literal') return -Number(literal.argument.value);
  throw new Error(`a literal of the kind ${literal.type}`);
}

function literal(value: string | number | boolean): Type {
  if (typeof value === 'string') return { kind: 'stringLiteral', value };
  return typeof value === 'number' ? { kind: 'integerLiteral', value } : { kind: 'booleanLiteral', value };
}

function nameOf(name: TSTypeName): string {
  if (name.type === 'Identifier') return name.name;
  if (name.type === 'TSQualifiedName') return `${nameOf(name.left)}.${name.right.name}`;
  throw new Error('a type named after this');
}

/** A literal structure, or a map where no member is named. */
function typeOfMembers(members: readonly TSSignature[], scope: Scope): Type {
  const properties: Property[] = [];
  for (const member of members) {
    if (member.type === 'TSIndexSignature') {
      const key = typeOf(member.parameters[0]?.typeAnnotation.typeAnnotation as TSType, scope);
      if (members.length === 1) return { kind: 'map', key, value: typeOf(member.typeAnnotation.typeAnnotation, scope) };
    } else if (member.type === 'TSPropertySignature' && member.typeAnnotation && 'name' in member.key) {
      const type = typeOf(member.typeAnnotation.typeAnnotation, scope);
      properties.push({ name: String(member.key.name), type, ...(member.optional && { optional: true }) });
    } else {
      throw new Error(`a member of the kind ${member.type}`);
    }
  }
  return { kind: 'literal', value: { properties } };
}

function typeOf(type: TSType, scope: Scope): Type {
  const several = (kind: 'and' | 'or' | 'tuple', types: readonly TSType[]): Type => {
    // Where a union has nothing in it, the member is left out.
    const items = types.filter((each) => kind !== 'or' || !isNothing(each)).map((each) => typeOf(each, scope));
    return items.length === 1 ? (items[0] as Type) : { kind, items };
  };
  switch (type.type) {
    case 'TSAnyKeyword':
    case 'TSUnknownKeyword':
      return reference('LSPAny');
    case 'TSObjectKeyword':
      return reference('LSPObject');
    case 'TSStringKeyword':
      return base('string');
    case 'TSBooleanKeyword':
      return base('boolean');
    case 'TSNumberKeyword':
      return base('decimal');
    case 'TSNullKeyword':
      return base('null');
    case 'TSParenthesizedType':
      return typeOf(type.typeAnnotation, scope);
    case 'TSArrayType':
      return { kind: 'array', element: typeOf(type.elementType, scope) };
    case 'TSUnionType':
      return several('or', type.types);
    case 'TSIntersectionType':
      return several('and', type.types);
    case 'TSTupleType':
      return { kind: 'tuple', items: type.elementTypes.map((each) => typeOf(each as TSType, scope)) };
    case 'TSTypeLiteral':
      return typeOfMembers(type.members, scope);
    case 'TSTypeQuery':
      return literal(valueNamed(type, scope.constants));
    case 'TSLiteralType':
      return literal(literalValue(type));
    case 'TSTypeReference': {
      const name = nameOf(type.typeName);
      if (scope.parameters.includes(name)) return reference('LSPAny');
      return BASE_NAMES.includes(name) ? base(name as BaseName) : reference(name);
    }
  }
  throw new Error(`a type of the kind ${type.type}`);
}
