/**
 * Namespace declarations in force (Namespaces in XML 1.0): a name means what its prefix is bound to, never the prefix.
 */

export interface Namespaces {
  /** The namespace bound to `prefix` ('' for the default one); null when none is. */
  readonly lookUp: (prefix: string) => string | null;
  /** A declaration on the element that opens now, `depth` levels down. */
  readonly declare: (prefix: string, uri: string, depth: number) => void;
  /** The element at `depth` closes. True when a declaration went out of force with it. */
  readonly leave: (depth: number) => boolean;
}

export function createNamespaces(): Namespaces {
  const bindings = new Map<string, string[]>([
    ['', ['']],
    ['xml', ['http://www.w3.org/XML/1998/namespace']],
    ['xmlns', ['http://www.w3.org/2000/xmlns/']],
  ]);
  const declared: { readonly depth: number; readonly prefix: string }[] = [];
  return {
    lookUp: (prefix) => bindings.get(prefix)?.at(-1) ?? null,
    declare: (prefix, uri, depth) => {
      const stack = bindings.get(prefix);
      if (stack === undefined) bindings.set(prefix, [uri]);
      else stack.push(uri);
      declared.push({ depth, prefix });
    },
    leave: (depth) => {
      let hasChanged = false;
      for (let last = declared.at(-1); last !== undefined && last.depth >= depth; last = declared.at(-1)) {
        declared.pop();
        bindings.get(last.prefix)?.pop();
        hasChanged = true;
      }
      return hasChanged;
    },
  };
}
