import { curveTerms } from '../curve/curveTerms.ts'
import type { FitContext } from '../fit/fitContext.ts'
import { type Fit, problemOf } from '../fit/fitKind.ts'
import type { ResidualBudget } from '../match/result.ts'
import type { Samples } from '../samples/samples.ts'
import { disturbedFit } from './disturbedFit.ts'
import type { LightField } from './evenness.ts'
import { noiseVariances } from './noiseVariances.ts'

/**
 * What the remaining mean square ΔE00 is made of. Noise comes from the readings' own standard errors; unevenness and
 * curve error from how far the cost falls when a light field, or a power and its bend in each channel, is fitted
 * together with the match, less what that many parameters would take up by chance; clipping from how much more the
 * patches with a few clipped pixels are off than the others. What is left, no lift, gain and matrix removes.
 *
 * @param clipped share of clipped pixels of each sample.
 */
export function residualBudget(
  fit: Fit,
  samples: Samples,
  context: FitContext,
  field: LightField | undefined,
  clipped: readonly number[],
): ResidualBudget | undefined {
  // A fit that needed the pull to lift and gain has too few patches for shares of what remains.
  if (fit.prior !== undefined && fit.model.rootPolynomial === undefined) return undefined
  const perceptual: FitContext = { ...context, objective: 'perceptual' }
  const problem = problemOf(fit.design, samples, perceptual)
  const residuals = new Float64Array(problem.residuals)
  problem.evaluate(fit.theta, residuals)
  const cost = residuals.reduce((sum, r) => sum + r * r, 0)
  // A match that is exact to the digits of the readings has nothing to share out.
  if (!(cost > 1e-12 * samples.count)) return undefined
  const taking = samples.weight.reduce((sum, w) => sum + (w > 0 ? 1 : 0), 0)
  const free = Math.max(3 * taking - fit.design.parameters, 1) / (3 * taking)

  const share = (part: number) => Math.min(Math.max(part / cost, 0), 1)
  const taken = (with_: { cost: number; freedom: number } | undefined, terms: number) =>
    with_ === undefined ? 0 : share(cost - with_.cost - terms * (with_.cost / with_.freedom))

  const noiseCost = noiseVariances(fit.kind, fit.theta, samples, perceptual).reduce((sum, v) => sum + v, 0)
  const noise = share(noiseCost * free)
  const unevenness = context.objective === 'perceptual' && field !== undefined ? taken(field, field.terms) : 0
  const curve =
    context.objective === 'perceptual'
      ? taken(disturbedFit(fit, samples, context, curveTerms(samples)), 6)
      : 0
  const parts = { noise, clipping: share(clippingCost(residuals, clipped)), unevenness, curve }
  const sum = parts.noise + parts.clipping + parts.unevenness + parts.curve
  // Parts are estimated one by one; where they explain more than there is, they share it.
  const scale = sum > 1 ? 1 / sum : 1
  const shares = {
    noise: parts.noise * scale,
    clipping: parts.clipping * scale,
    unevenness: parts.unevenness * scale,
    curve: parts.curve * scale,
    spectral: Math.max(1 - sum, 0),
  }
  const names = Object.keys(shares) as (keyof typeof shares)[]
  return { ...shares, limit: names.reduce((most, name) => (shares[name] > shares[most] ? name : most)) }
}

/** How much more the squares of patches with a few clipped pixels are than those of the others. */
function clippingCost(residuals: Float64Array, clipped: readonly number[]): number {
  let some = 0
  let count = 0
  let rest = 0
  for (const [p, share] of clipped.entries()) {
    const square = residuals[3 * p]! ** 2 + residuals[3 * p + 1]! ** 2 + residuals[3 * p + 2]! ** 2
    if (share > 0) {
      some += square
      count++
    } else rest += square
  }
  const others = clipped.length - count
  return count === 0 || others === 0 ? 0 : Math.max(some - (count * rest) / others, 0)
}
