import type { Cause } from '../causes/evidence.ts'
import { type Causes, tellCauses } from '../causes/tellCauses.ts'
import type { Fit } from '../fit/fitKind.ts'
import type { BudgetPart, ResidualBudget } from '../match/result.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'

/** A cause that something can be done about limits the match from this share of the mean ΔE00 on … */
const worthMending = 0.08
/** … and noise, which is in every reading, from this share and this mean ΔE00 on. */
const muchNoise = 0.25
const visibleNoise = 0.3
/** Causes whose explanations are nearer than this in the logarithm of their probability are not told apart. */
const alike = 3

const partOf: Record<Cause | 'noise', BudgetPart> = {
  noise: 'noise',
  clipping: 'clipping',
  unevenness: 'unevenness',
  curve: 'curve',
  foreign: 'foreign',
  spectral: 'spectral',
  other: 'undetermined',
}

/**
 * What the mean ΔE00 of the patches is made of, outliers included: each cause's part of a patch's three residuals, along
 * these residuals, summed over the patches. `undefined` where the patches are too few for it, or nothing is left.
 *
 * @param without patches whose weight was taken down.
 */
export function residualBudget(
  fit: Fit,
  problem: MatchProblem,
  without: ReadonlySet<number>,
): ResidualBudget | undefined {
  // A fit that needed the prior towards lift and gain has too few patches for shares of what remains.
  if (fit.regularised && fit.model.rootPolynomial === undefined) return undefined
  const { count } = problem.samples
  if (3 * count < fit.design.parameters + 12) return undefined

  const causes = tellCauses({ fit, problem, foreign: without })
  if (causes === undefined) return undefined
  const shares: Record<BudgetPart, number> = {
    noise: 0,
    clipping: 0,
    unevenness: 0,
    curve: 0,
    foreign: 0,
    spectral: 0,
    undetermined: 0,
  }
  // A cause may make some patches better; what it is to the mean is no less than nothing.
  for (const [cause, part] of causes.parts) {
    shares[partOf[cause]] += Math.max(
      part.reduce((sum, value) => sum + value, 0),
      0,
    )
  }
  const sum = Object.values(shares).reduce((total, value) => total + value, 0)
  // A match that is exact to the digits of the readings has nothing to share out.
  if (!(sum > 1e-7 * count)) return undefined
  for (const part of Object.keys(shares) as BudgetPart[]) shares[part] /= sum
  const limit = limitOf(shares, sum / count)
  const or = alternatives(causes, limit)
  return { ...shares, limit, ...(or.length === 0 ? {} : { or }) }
}

/** The largest part that something can be done about, if it is worth it; else the largest. */
function limitOf(shares: Readonly<Record<BudgetPart, number>>, mean: number): BudgetPart {
  const largest = (of: readonly BudgetPart[]) =>
    of.reduce((most, part) => (shares[part] > shares[most] ? part : most))
  const mendable = (['clipping', 'unevenness', 'curve', 'foreign'] as const).filter(
    (part) => shares[part] >= worthMending,
  )
  const noisy = shares.noise >= muchNoise && shares.noise * mean >= visibleNoise
  if (noisy) return largest(['noise', ...mendable])
  return mendable.length > 0 ? largest(mendable) : largest(Object.keys(shares) as BudgetPart[])
}

/** What explains the residuals about as well as the limit that is named. */
function alternatives({ rivals }: Causes, limit: BudgetPart): BudgetPart[] {
  const named = rivals.find(({ cause }) => partOf[cause] === limit)
  // Spectra are there in any case: a rival has to make the residuals more probable than they alone.
  const least = named === undefined ? 0 : Math.max(named.gain - alike, 0)
  const near = rivals.filter(
    ({ cause, gain }) => partOf[cause] !== limit && cause !== 'other' && gain > least,
  )
  return named !== undefined || limit === 'spectral' || limit === 'undetermined'
    ? near.map(({ cause }) => partOf[cause])
    : []
}
