import { hypot } from '../elementary/hypot.ts'
import type { MatchModel } from '../model/model.ts'
import type { BlackSample } from '../samples/samples.ts'
import type { LeastSquaresProblem } from '../solver/leastSquaresProblem.ts'

type Prior = NonNullable<LeastSquaresProblem['prior']>

/** Flare at a light trap and over the patches beside it differ by this share of white: common practice, no source. */
const trapSpread = 0.001
/** Towards values of a chart its trap counts so many times more: prints that are not as black as their values are so in all dark patches. */
const printsTogether = 3
/** Scatter of a residual in ΔE00 below which a chart does not speak of it. */
const leastScatter = 0.3

/**
 * The prior of a fit of `lift-gain-matrix` that takes a light trap where the target has it: its offset as Bayes would have it,
 * by the ratio of the residuals' scatter to how well the trap tells flare and pedestal. The rest is free.
 *
 * @param theta a fit without it, of which the matrix is taken: a trap is so dark that it hardly matters
 * @param scatter of the residuals of that fit, ΔE00
 * @param levels the prior towards lift and gain, where there is one; its offset gives way
 */
export function priorTowardsBlack(
  black: BlackSample,
  theta: Float64Array,
  scatter: number,
  levels: Prior | undefined,
): Prior {
  const { source, target, sourceError } = black
  const strength = levels?.strength.slice() ?? new Float64Array(12)
  const centre = levels?.centre.slice() ?? new Float64Array(12)
  for (const c of [0, 1, 2] as const) {
    const row = theta.subarray(4 * c, 4 * c + 3)
    const through = row[0]! * source[0] + row[1]! * source[1] + row[2]! * source[2]
    const noise = hypot(row[0]! * sourceError[0], row[1]! * sourceError[1], row[2]! * sourceError[2])
    centre[4 * c + 3] = target[c] - through
    strength[4 * c + 3] = strengthOf(black, scatter, noise)
  }
  return { strength, centre }
}

/**
 * The prior of a root-polynomial fit with its lift drawn to that of a matrix that was fitted so, as strongly.
 *
 * @param drawn the prior towards the matrix. @param columns of the design, before the lift
 */
export function liftTowardsBlack(
  black: BlackSample,
  drawn: Prior,
  columns: number,
  { lift, gain }: MatchModel,
  scatter: number,
): Prior {
  const strength = drawn.strength.slice()
  const centre = drawn.centre.slice()
  for (const c of [0, 1, 2] as const) {
    centre[3 * columns + c] = lift[c]
    strength[3 * columns + c] = gain[c] * strengthOf(black, scatter, gain[c] * black.sourceError[c])
  }
  return { ...drawn, strength, centre }
}

/** ΔE00 for a unit of the target's light. */
function strengthOf({ target }: BlackSample, scatter: number, noise: number): number {
  const sure = target.every((light) => light === 0) ? printsTogether : 1
  return (sure * Math.max(scatter, leastScatter)) / hypot(trapSpread, noise)
}
