/** A match, or its file, that has to be one that was fitted. */
export function fitted<T extends { readonly kind: string }>(
  match: T,
): Extract<T, { readonly kind: 'fitted' }> {
  if (match.kind !== 'fitted') throw new Error(`a match that was fitted was expected, not ${match.kind}`)
  return match as Extract<T, { readonly kind: 'fitted' }>
}
