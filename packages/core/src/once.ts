/** A value that is worked out when it is first asked for, and kept. */
export function once<T>(make: () => T): () => T {
  let kept: { readonly value: T } | undefined
  return () => {
    kept ??= { value: make() }
    return kept.value
  }
}
