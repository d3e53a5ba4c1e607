import { exp, type Vec3 } from '@isochip/core'
import { resample, type Spectrum } from './grid.ts'
import { solve } from './solve.ts'
import { xyzWeights } from './xyzOf.ts'

/** The knots between which the reflectance runs straight: 380…730 nm by 10 nm, held beyond. */
const knots = { start: 380, step: 10, count: 36 } as const

const tanhOf = (z: number) => 1 - 2 / (exp(2 * z) + 1)

/** Light and observer at the knots: what one knot adds to X, Y and Z, interpolation included. */
function knotWeights(power: Spectrum): readonly Float64Array[] {
  const hats = Array.from({ length: knots.count }, (_, k) =>
    resample(
      Array.from({ length: knots.count }, (_, i) => (i === k ? 1 : 0)),
      knots.start,
      knots.step,
      'hold',
    ),
  )
  return xyzWeights(power).map((weights) =>
    Float64Array.from(hats, (hat) => hat.reduce((sum, h, i) => sum + h * weights[i]!, 0)),
  )
}

/**
 * The smoothest reflectance between 0 and 1 that has the given XYZ (Y = 1 for a perfect diffuser) under a light:
 * with ρ = (tanh z + 1) / 2, least Σ(z[i+1] − z[i])², after S. A. Burns, Numerical methods for smoothest reflectance
 * reconstruction, Color Res. Appl. 45 (2020). Newton's method on the Lagrangian.
 *
 * @throws Error when no reflectance has that XYZ (a colour outside the object-colour solid).
 */
export function smoothReflectance(xyz: Vec3, power: Spectrum): Spectrum {
  const weights = knotWeights(power)
  const n = knots.count
  const size = n + 3
  const state = new Float64Array(size)
  for (let iteration = 0; iteration < 60; iteration++) {
    const matrix = new Float64Array(size * size)
    const residual = new Float64Array(size)
    for (let i = 0; i < n; i++) {
      const tanh = tanhOf(state[i]!)
      const slope = (1 - tanh * tanh) / 2
      let pull = 0
      for (let c = 0; c < 3; c++) {
        const w = weights[c]![i]!
        pull += state[n + c]! * w
        matrix[i * size + n + c] = w * slope
        matrix[(n + c) * size + i] = w * slope
        residual[n + c]! += (w * (tanh + 1)) / 2
      }
      matrix[i * size + i] = (i === 0 || i === n - 1 ? 2 : 4) - 2 * tanh * slope * pull
      residual[i] = pull * slope
      if (i > 0) {
        matrix[i * size + i - 1] = -2
        matrix[(i - 1) * size + i] = -2
        const step = 2 * (state[i]! - state[i - 1]!)
        residual[i]! += step
        residual[i - 1]! -= step
      }
    }
    for (let c = 0; c < 3; c++) residual[n + c]! -= xyz[c]!
    const worst = residual.reduce((most, value) => Math.max(most, Math.abs(value)), 0)
    if (worst < 1e-12) {
      const reflectance = Array.from(state.subarray(0, n), (z) => (tanhOf(z) + 1) / 2)
      return resample(reflectance, knots.start, knots.step, 'hold')
    }
    const move = solve(matrix, residual)
    if (move === undefined) break
    for (let i = 0; i < size; i++) state[i]! -= move[i]!
  }
  throw new Error(`no reflectance between 0 and 1 has the XYZ ${xyz.join(', ')} under this light`)
}
