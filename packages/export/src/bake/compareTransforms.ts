import { deltaE00, type Lab65, type Vec3 } from '@isochip/core'

/** How far two transforms are apart over some inputs. */
export interface Difference {
  readonly points: number
  /** Largest and mean difference of a channel, as fractions of the code range, both sides cut to 0…1. */
  readonly maxCode: number
  readonly meanCode: number
  /** Largest and mean ΔE00, and the input where it is largest. */
  readonly maxDE00: number
  readonly meanDE00: number
  readonly worst: Vec3
}

type RgbFunction = (code: Vec3) => Vec3

const clip = (x: number) => Math.min(Math.max(x, 0), 1)

/** Compares two transforms at the given inputs. `lab` says what an output code looks like: see `outputLab`. */
export function compareTransforms(
  a: RgbFunction,
  b: RgbFunction,
  inputs: Iterable<Vec3>,
  lab: (code: Vec3) => Lab65,
): Difference {
  let points = 0
  let maxCode = 0
  let sumCode = 0
  let maxDE00 = 0
  let sumDE00 = 0
  let worst: Vec3 = [0, 0, 0]
  for (const input of inputs) {
    const [x, y] = [a(input), b(input)]
    let apart = 0
    for (const c of [0, 1, 2] as const) apart = Math.max(apart, Math.abs(clip(x[c]) - clip(y[c])))
    const dE = deltaE00(lab(x), lab(y))
    points++
    maxCode = Math.max(maxCode, apart)
    sumCode += apart
    sumDE00 += dE
    if (dE > maxDE00) {
      maxDE00 = dE
      worst = input
    }
  }
  const mean = (sum: number) => (points === 0 ? 0 : sum / points)
  return { points, maxCode, meanCode: mean(sumCode), maxDE00, meanDE00: mean(sumDE00), worst }
}
