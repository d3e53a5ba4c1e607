/**
 * A function that keeps its last few answers. Arguments are the same where they are identical, lists also where their
 * elements are; nobody may change them, or the answer, afterwards.
 */
export function remember<Arguments extends readonly unknown[], T>(
  make: (...given: Arguments) => T,
  size = 4,
): (...given: Arguments) => T {
  const kept: { readonly given: Arguments; readonly answer: T }[] = []
  return (...given) => {
    const place = kept.findIndex((entry) => entry.given.every((one, i) => same(one, given[i])))
    const [found] = place < 0 ? [{ given, answer: make(...given) }] : kept.splice(place, 1)
    kept.unshift(found!)
    kept.length = Math.min(kept.length, size)
    return found!.answer
  }
}

function same(a: unknown, b: unknown): boolean {
  if (a === b) return true
  if (!Array.isArray(a) || !Array.isArray(b) || a.length !== b.length) return false
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false
  return true
}
