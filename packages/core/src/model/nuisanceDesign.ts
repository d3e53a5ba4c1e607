import { exp } from '../elementary/exp.ts'
import type { Mat3 } from '../linear/mat3.ts'
import type { Samples } from '../samples/samples.ts'
import type { Design } from './design.ts'
import { designOf } from './designOf.ts'
import type { ModelKind } from './modelKind.ts'

/**
 * A nuisance of the readings by factors exp(Σ η_k ψ_k): `psi[(p · terms + k) · 3 + channel]`. Light that is uneven
 * over the chart and a transfer curve that is off are both of this form.
 */
export interface Nuisance {
  readonly terms: number
  readonly psi: Float64Array
}

/** A kind of match with a nuisance of its readings, to be fitted together: θ is the match's own, then η. */
export interface NuisanceDesign extends Design {
  /** Parameters of the match alone; those of the nuisance come after them. */
  readonly own: number
  /** The readings with the factors of the last θ: the match's own design reads them. */
  readonly moved: Float64Array
  readonly inner: Design
}

/** A factor beyond e to this power is no correction. */
const furthest = 5

/** @param allowed may η be so? A curve has to rise. */
export function nuisanceDesign(
  kind: ModelKind,
  samples: Samples,
  declared: Mat3,
  { terms, psi }: Nuisance,
  allowed: (eta: Float64Array) => boolean = () => true,
): NuisanceDesign {
  const { source, count } = samples
  const moved = Float64Array.from(source)
  const factors = new Float64Array(3 * count).fill(1)
  const inner = designOf(kind, { samples: { ...samples, source: moved }, declared })
  const own = inner.parameters
  const parameters = own + terms
  const rows = new Float64Array(3 * own)
  const input = new Float64Array(9)
  // Of the match alone: the Jacobian has other rows here.
  const { products: _, ...rest } = inner
  return {
    ...rest,
    own,
    moved,
    inner,
    parameters,
    prepare(theta) {
      for (let p = 0; p < count; p++) {
        for (let c = 0; c < 3; c++) {
          let sum = 0
          for (let k = 0; k < terms; k++) sum += theta[own + k]! * psi[(p * terms + k) * 3 + c]!
          if (!(Math.abs(sum) < furthest)) return false
          factors[3 * p + c] = exp(sum)
          moved[3 * p + c] = source[3 * p + c]! * factors[3 * p + c]!
        }
      }
      return allowed(theta.subarray(own)) && inner.prepare(theta)
    },
    inputSlope(theta, p, out) {
      inner.inputSlope(theta, p, out)
      for (let i = 0; i < 9; i++) out[i]! *= factors[3 * p + (i % 3)]!
    },
    chain(theta, p, slope, jacobian, at) {
      inner.chain(theta, p, slope, rows, 0)
      inner.inputSlope(theta, p, input)
      for (let row = 0; row < 3; row++) {
        const to = at + row * parameters
        for (let j = 0; j < own; j++) jacobian[to + j] = rows[row * own + j]!
        jacobian.fill(0, to + own, to + parameters)
        for (let c = 0; c < 3; c++) {
          const by =
            slope[3 * row]! * input[c]! +
            slope[3 * row + 1]! * input[3 + c]! +
            slope[3 * row + 2]! * input[6 + c]!
          const part = by * moved[3 * p + c]!
          for (let k = 0; k < terms; k++) jacobian[to + own + k]! += part * psi[(p * terms + k) * 3 + c]!
        }
      }
    },
  }
}
