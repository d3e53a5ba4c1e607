import { given, IsochipError, type Vec3 } from '@isochip/core'
import { checkDomain, type LatticeLut, lutLimits } from '../lut/lut.ts'

/** The input range that a LUT covers, per channel. */
export interface LutDomain {
  readonly min: Vec3
  readonly max: Vec3
}

export const unitDomain: LutDomain = { min: [0, 0, 0], max: [1, 1, 1] }

export interface BakeOptions {
  /** Nodes along each axis, 2…256. */
  readonly size: number
  /** Default 0…1. */
  readonly domain?: LutDomain
  readonly title?: string
}

/**
 * Samples a transform on a lattice, in double precision. What the transform gives outside 0…1 is kept.
 *
 * @throws IsochipError `lut-limits` for a size or domain out of bounds, or where the transform is not finite.
 */
export function bakeLattice(transform: (code: Vec3) => Vec3, options: BakeOptions): LatticeLut {
  const lut = emptyLattice(options)
  const { size, tableRedFastest: table } = lut
  const [reds, greens, blues] = nodeInputs(lut)
  let at = 0
  for (let k = 0; k < size; k++) {
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < size; i++) {
        const input: Vec3 = [reds[i]!, greens[j]!, blues[k]!]
        const out = transform(input)
        if (!Number.isFinite(out[0] + out[1] + out[2])) throw notFinite(input, out)
        table[at] = out[0]
        table[at + 1] = out[1]
        table[at + 2] = out[2]
        at += 3
      }
    }
  }
  return lut
}

/** A lattice that is computed here. */
interface DoubleLattice extends LatticeLut {
  readonly tableRedFastest: Float64Array
}

/** A lattice of zeros, its size and domain checked before the table is reserved. */
export function emptyLattice({ size, domain = unitDomain, title }: BakeOptions): DoubleLattice {
  const { min, max } = lutLimits.latticeSize
  if (!Number.isInteger(size) || size < min || size > max) {
    throw new IsochipError(
      'lut-limits',
      `lattice size is ${size}, expected a whole number from ${min} to ${max}`,
    )
  }
  checkDomain({ domainMin: domain.min, domainMax: domain.max })
  return {
    kind: 'lattice',
    ...given({ title }),
    size,
    domainMin: domain.min,
    domainMax: domain.max,
    tableRedFastest: new Float64Array(3 * size * size * size),
  }
}

/** The inputs of the nodes along the three axes. The ends are the domain's own numbers, exactly. */
export function nodeInputs({ size, domainMin, domainMax }: LatticeLut): [number[], number[], number[]] {
  const axis = (min: number, max: number) =>
    Array.from({ length: size }, (_, i) => {
      const f = i / (size - 1)
      return min * (1 - f) + max * f
    })
  return [
    axis(domainMin[0], domainMax[0]),
    axis(domainMin[1], domainMax[1]),
    axis(domainMin[2], domainMax[2]),
  ]
}

export function notFinite(input: Vec3, out: Vec3): IsochipError {
  return new IsochipError(
    'lut-limits',
    `the transform gives (${out.join(', ')}) for the input (${input.join(', ')}), expected finite numbers`,
    { hint: 'no LUT may hold NaN or infinity: check the match, or take a smaller domain' },
  )
}
