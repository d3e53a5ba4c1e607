import type { Readings, Vec3 } from '@isochip/core'

/** Readings of the named patches, values alone. */
export function readingsOf(names: readonly string[], values: readonly Vec3[]): Readings {
  return { patches: names.map((patch, i) => ({ patch, rgb: values[i]! })) }
}
