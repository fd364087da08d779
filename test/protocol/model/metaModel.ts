/**
 * The form in which the Language Server Protocol describes itself: its messages, and the types of what they carry.
 *
 * Source: metaModel.schema.json of the package vscode-languageserver-protocol 3.18, which metaModel.test.ts holds our model to. Members
 * that only document (`documentation`, `since`, `proposed`, `deprecated`, `typeName`) are left out: nothing here reads them.
 */

export interface MetaModel {
  readonly metaData: { readonly version: string };
  readonly requests: readonly Request[];
  readonly notifications: readonly Notification[];
  readonly structures: readonly Structure[];
  readonly enumerations: readonly Enumeration[];
  readonly typeAliases: readonly TypeAlias[];
}

export type Direction = 'clientToServer' | 'serverToClient' | 'both';

export interface Notification {
  readonly method: string;
  readonly messageDirection: Direction;
  readonly params?: Type;
  readonly registrationMethod?: string;
  readonly registrationOptions?: Type;
  /** Dotted path of what a client says it can do, and of what the server says it offers. */
  readonly clientCapability?: string;
  readonly serverCapability?: string;
}

export interface Request extends Notification {
  readonly result: Type;
  readonly partialResult?: Type;
  readonly errorData?: Type;
}

export interface Structure {
  readonly name: string;
  readonly properties: readonly Property[];
  readonly extends?: readonly Type[];
  readonly mixins?: readonly Type[];
}

export interface Property {
  readonly name: string;
  readonly type: Type;
  readonly optional?: boolean;
}

export interface Enumeration {
  readonly name: string;
  readonly type: { readonly kind: 'base'; readonly name: 'string' | 'integer' | 'uinteger' };
  readonly values: readonly { readonly name: string; readonly value: string | number }[];
  readonly supportsCustomValues?: boolean;
}

export interface TypeAlias {
  readonly name: string;
  readonly type: Type;
}

export type BaseName = 'URI' | 'DocumentUri' | 'integer' | 'uinteger' | 'decimal' | 'string' | 'boolean' | 'null';

export type Type =
  | { readonly kind: 'base'; readonly name: BaseName }
  | { readonly kind: 'reference'; readonly name: string }
  | { readonly kind: 'array'; readonly element: Type }
  | { readonly kind: 'map'; readonly key: Type; readonly value: Type }
  | { readonly kind: 'and' | 'or' | 'tuple'; readonly items: readonly Type[] }
  | { readonly kind: 'literal'; readonly value: { readonly properties: readonly Property[] } }
  | { readonly kind: 'stringLiteral'; readonly value: string }
  | { readonly kind: 'integerLiteral'; readonly value: number }
  | { readonly kind: 'booleanLiteral'; readonly value: boolean };

export function base(name: BaseName): Type {
  return { kind: 'base', name };
}

export function reference(name: string): Type {
  return { kind: 'reference', name };
}
