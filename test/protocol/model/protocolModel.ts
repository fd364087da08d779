/**
 * The Language Server Protocol as the tests ask about it: methods by name, types by name, over a meta-model.
 *
 * Any meta-model does; ours is written from the published declarations (readDeclarations.ts), since no package carries one ready-made.
 */

import {
  base,
  type Direction,
  type Enumeration,
  type MetaModel,
  type Notification,
  type Structure,
  type Type,
} from './metaModel.ts';
import { readDeclarations } from './readDeclarations.ts';

export interface Method {
  readonly isRequest: boolean;
  readonly direction: Direction;
  /** Null as a type, where nothing is sent. */
  readonly params: Type;
  readonly result: Type;
  /** Null where the protocol has none. */
  readonly partialResult: Type | null;
  readonly registrationOptions: Type | null;
  /** Dotted path of what a client says it can do, and of what the server says it offers. */
  readonly clientCapability: string | null;
  readonly serverCapability: string | null;
}

export type Definition =
  | { readonly kind: 'structure'; readonly structure: Structure }
  | { readonly kind: 'enumeration'; readonly enumeration: Enumeration }
  | { readonly kind: 'alias'; readonly type: Type };

export interface ProtocolModel {
  readonly methods: ReadonlyMap<string, Method>;
  /** Throws for a name that is defined nowhere. */
  readonly definitionOf: (name: string) => Definition;
}

let model: ProtocolModel | null = null;

/** Read once for each process. */
export function protocolModel(): ProtocolModel {
  model ??= modelOf(readDeclarations());
  return model;
}

export function modelOf({ requests, notifications, structures, enumerations, typeAliases }: MetaModel): ProtocolModel {
  const definitions = new Map<string, Definition>([
    ...structures.map((structure) => [structure.name, { kind: 'structure', structure }] as const),
    ...enumerations.map((enumeration) => [enumeration.name, { kind: 'enumeration', enumeration }] as const),
    ...typeAliases.map(({ name, type }) => [name, { kind: 'alias', type }] as const),
  ]);
  const ofEither = ({
    messageDirection,
    params,
    registrationOptions,
    clientCapability,
    serverCapability,
  }: Notification): Omit<Method, 'isRequest' | 'result' | 'partialResult'> => ({
    direction: messageDirection,
    params: params ?? base('null'),
    registrationOptions: registrationOptions ?? null,
    clientCapability: clientCapability ?? null,
    serverCapability: serverCapability ?? null,
  });
  return {
    methods: new Map<string, Method>([
      ...requests.map((request): [string, Method] => {
        const { method, result, partialResult = null } = request;
        return [method, { ...ofEither(request), isRequest: true, result, partialResult }];
      }),
      ...notifications.map((notification): [string, Method] => [
        notification.method,
        { ...ofEither(notification), isRequest: false, result: base('null'), partialResult: null },
      ]),
    ]),
    definitionOf: (name) => {
      const found = definitions.get(name);
      if (found === undefined) throw new Error(`the protocol's model holds no ${name}`);
      return found;
    },
  };
}
