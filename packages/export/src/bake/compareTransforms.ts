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
type LabOf = (code: Vec3) => Lab65

/** What a transform gives for an input, and what that looks like. */
export interface Expected {
  readonly input: Vec3
  readonly code: Vec3
  readonly lab: Lab65
}

const clip = (x: number) => Math.min(Math.max(x, 0), 1)

export function expectedAt(input: Vec3, exact: RgbFunction, lab: LabOf): Expected {
  const code = exact(input)
  return { input, code, lab: lab(code) }
}

/** Compares a transform with what is expected of it. `lab` says what an output code looks like: see `outputLab`. */
export function compareWithExpected(
  transform: RgbFunction,
  expected: Iterable<Expected>,
  lab: LabOf,
): Difference {
  let points = 0
  let maxCode = 0
  let sumCode = 0
  let maxDE00 = 0
  let sumDE00 = 0
  let worst: Vec3 = [0, 0, 0]
  for (const { input, code: y, lab: yLab } of expected) {
    const x = transform(input)
    const apart = Math.max(
      Math.abs(clip(x[0]) - clip(y[0])),
      Math.abs(clip(x[1]) - clip(y[1])),
      Math.abs(clip(x[2]) - clip(y[2])),
    )
    const dE = deltaE00(lab(x), yLab)
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

/** Compares two transforms at the given inputs. */
export function compareTransforms(
  a: RgbFunction,
  b: RgbFunction,
  inputs: Iterable<Vec3>,
  lab: LabOf,
): Difference {
  function* expected() {
    for (const input of inputs) yield expectedAt(input, b, lab)
  }
  return compareWithExpected(a, expected(), lab)
}
