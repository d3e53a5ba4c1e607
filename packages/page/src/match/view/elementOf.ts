import type { VNode } from 'preact'

/** Makes the same element of the same object, and such a one is not worked out again: where one camera of two hundred has changed. */
export function elementOf<T extends object>(make: (one: T) => VNode): (one: T) => VNode {
  const made = new WeakMap<T, VNode>()
  return (one) => {
    const known = made.get(one) ?? make(one)
    made.set(one, known)
    return known
  }
}
