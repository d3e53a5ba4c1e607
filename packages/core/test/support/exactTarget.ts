import type { Target, Vec3 } from '@isochip/core'

/** A target by patch name whose values are taken as exact. */
export function exactTarget(names: readonly string[], lights: readonly Vec3[]): Target {
  return {
    light: new Map(names.map((name, i) => [name, lights[i]!])),
    standardError: new Map(),
    excluded: new Map(),
    warnings: [],
  }
}
