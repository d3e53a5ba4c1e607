import type { Mat3 } from '../linear/mat3.ts'
import type { Design } from '../model/design.ts'
import { designOf } from '../model/designOf.ts'
import type { ModelKind } from '../model/modelKind.ts'
import type { Samples } from '../samples/samples.ts'

export interface CorrectedDesign extends Design {
  /** Parameters of the match alone; those of the readings' factors come after them. */
  readonly own: number
  /** The readings with the factors of the last θ: the match's own design reads them. */
  readonly moved: Float64Array
  readonly inner: Design
}

/**
 * A kind of match whose readings are multiplied by factors exp(Σ η_k ψ_k), fitted together: θ is the match's own, then
 * η. `psi[(p · terms + k) · 3 + channel]`.
 *
 * @param allowed may η be so? A curve has to rise.
 */
export function correctedDesign(
  kind: ModelKind,
  samples: Samples,
  declared: Mat3,
  { terms, psi }: { readonly terms: number; readonly psi: Float64Array },
  allowed: (eta: Float64Array) => boolean = () => true,
): CorrectedDesign {
  const { source, count } = samples
  const moved = Float64Array.from(source)
  const inner = designOf(kind, { samples: { ...samples, source: moved }, declared })
  const own = inner.parameters
  const parameters = own + terms
  const rows = new Float64Array(3 * own)
  const above = new Float64Array(3)
  const below = new Float64Array(3)
  return {
    ...inner,
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
          moved[3 * p + c] = source[3 * p + c]! * Math.exp(sum)
        }
      }
      return allowed(theta.subarray(own)) && inner.prepare(theta)
    },
    chain(theta, p, slope, jacobian, at) {
      inner.chain(theta, p, slope, rows, 0)
      for (let row = 0; row < 3; row++) {
        const to = at + row * parameters
        for (let j = 0; j < own; j++) jacobian[to + j] = rows[row * own + j]!
        jacobian.fill(0, to + own, to + parameters)
      }
      for (let c = 0; c < 3; c++) {
        // By differences: each kind has its own slope by its input, and only its output is public.
        const x = moved[3 * p + c]!
        const step = 1e-6 * Math.max(Math.abs(x), 1e-3)
        moved[3 * p + c] = x + step
        inner.output(theta, p, above)
        moved[3 * p + c] = x - step
        inner.output(theta, p, below)
        moved[3 * p + c] = x
        for (let row = 0; row < 3; row++) {
          let part = 0
          for (let i = 0; i < 3; i++) part += slope[3 * row + i]! * (above[i]! - below[i]!)
          part *= x / (2 * step)
          const to = at + row * parameters + own
          for (let k = 0; k < terms; k++) jacobian[to + k]! += part * psi[(p * terms + k) * 3 + c]!
        }
      }
    },
  }
}

/** A factor beyond e to this power is no correction. */
const furthest = 5
