/**
 * A value worked out when it is first asked for, and kept. For values that cost more than they are often worth.
 */

export function once<Value>(make: () => Value): () => Value {
  let made: { readonly value: Value } | null = null;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}
