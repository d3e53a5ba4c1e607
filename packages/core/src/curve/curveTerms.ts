import { ln } from '../elementary/ln.ts'
import type { Nuisance } from '../model/nuisanceDesign.ts'
import type { Samples } from '../samples/samples.ts'

export interface CurveTerms extends Nuisance {
  /** What η makes of the logarithm of light of a channel: Σ η ψ. */
  exponent(light: number, channel: 0 | 1 | 2, eta: Float64Array): number
}

/** A power, and a bend of it, in each channel: first and second order in the logarithm of the light. */
export function curveTerms(samples: Samples): CurveTerms {
  const terms = 6
  const top = Math.max(...samples.source.map(Math.abs)) || 1
  const log = (light: number) => ln(Math.max(light / top, 1e-3))
  const psi = new Float64Array(samples.count * terms * 3)
  for (let p = 0; p < samples.count; p++) {
    for (let c = 0; c < 3; c++) {
      const at = log(samples.source[3 * p + c]!)
      psi[(p * terms + 2 * c) * 3 + c] = at
      psi[(p * terms + 2 * c + 1) * 3 + c] = at * at
    }
  }
  return {
    terms,
    psi,
    exponent: (light, channel, eta) => {
      const at = log(light)
      return eta[2 * channel]! * at + eta[2 * channel + 1]! * at * at
    },
  }
}
