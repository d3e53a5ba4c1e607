import { ciede2000Jet, jetSize, type Lab65, type Vec3 } from '@isochip/core'
import { type TripleMap, tripleAt, tripleMap } from '../lut/triples.ts'

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

/** What a transform gives for some inputs, and what that looks like: triples, as many of each. */
export interface Expected {
  readonly inputs: Float64Array
  readonly codes: Float64Array
  readonly labs: Float64Array
}

const clip = (x: number) => Math.min(Math.max(x, 0), 1)

export function expectedAt(inputs: Float64Array, exact: TripleMap, lab: TripleMap): Expected {
  const codes = inputs.slice()
  exact(codes)
  return expectedOf(inputs, codes, lab)
}

export function expectedOf(inputs: Float64Array, codes: Float64Array, lab: TripleMap): Expected {
  const labs = codes.slice()
  lab(labs)
  return { inputs, codes, labs }
}

/** Compares a transform with what is expected of it. `lab` says what output codes look like: see `outputLab`. */
export function compareWithExpected(
  transform: TripleMap,
  { inputs, codes, labs }: Expected,
  lab: TripleMap,
): Difference {
  const found = inputs.slice()
  transform(found)
  let maxCode = 0
  let sumCode = 0
  for (let i = 0; i < found.length; i += 3) {
    const apart = Math.max(
      Math.abs(clip(found[i]!) - clip(codes[i]!)),
      Math.abs(clip(found[i + 1]!) - clip(codes[i + 1]!)),
      Math.abs(clip(found[i + 2]!) - clip(codes[i + 2]!)),
    )
    maxCode = Math.max(maxCode, apart)
    sumCode += apart
  }
  lab(found)
  let maxDE00 = 0
  let sumDE00 = 0
  let worst: Vec3 = [0, 0, 0]
  // Not `deltaE00`, which makes two arrays a colour.
  const residuals = new Float64Array(3)
  const jet = new Float64Array(jetSize)
  for (let i = 0; i < found.length; i += 3) {
    const [L, a, b] = [found[i]!, found[i + 1]!, found[i + 2]!]
    ciede2000Jet(L, a, b, labs[i]!, labs[i + 1]!, labs[i + 2]!, residuals, 0, jet)
    const [x, y, z] = [residuals[0]!, residuals[1]!, residuals[2]!]
    const dE = Math.sqrt(x * x + y * y + z * z)
    sumDE00 += dE
    if (dE > maxDE00) {
      maxDE00 = dE
      worst = tripleAt(inputs, i)
    }
  }
  const points = inputs.length / 3
  const mean = (sum: number) => (points === 0 ? 0 : sum / points)
  return { points, maxCode, meanCode: mean(sumCode), maxDE00, meanDE00: mean(sumDE00), worst }
}

/** Compares two transforms at the given inputs. */
export function compareTransforms(
  a: (code: Vec3) => Vec3,
  b: (code: Vec3) => Vec3,
  inputs: Iterable<Vec3>,
  lab: (code: Vec3) => Lab65,
): Difference {
  const labs = tripleMap(lab)
  const expected = expectedAt(Float64Array.from([...inputs].flat()), tripleMap(b), labs)
  return compareWithExpected(tripleMap(a), expected, labs)
}
