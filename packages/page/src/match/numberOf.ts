const numbers = new WeakMap<object, number>()
let last = 0

/** Objects that never change, by number: the same object has the same. */
export function numberOf(one: object): number {
  const known = numbers.get(one) ?? ++last
  numbers.set(one, known)
  return known
}
