import { exp } from '../../elementary/exp.ts'
import { hypot } from '../../elementary/hypot.ts'
import { ln } from '../../elementary/ln.ts'
import { pow } from '../../elementary/pow.ts'
import { map3 } from '../../linear/mat3.ts'
import { cholesky, divideBySquare } from '../../solver/cholesky.ts'
import type { LeastSquaresProblem } from '../../solver/leastSquaresProblem.ts'
import { levenbergMarquardt } from '../../solver/levenbergMarquardt.ts'
import { type Curve, hasPedestal } from '../chain/chain.ts'
import { curveSlope } from './curveSlope.ts'

/** What the grey scale of one shot says of that which bends it. */
export interface GreyTone {
  /** ln of the exponent that the camera puts on its light, with all else that may bend it left open; its standard error. */
  readonly gamma: number
  readonly gammaError: number
  /** Light over black, as a share of white, if there is no pedestal. */
  readonly flare: number
  /** ln of the odds that it is flare and no pedestal. */
  readonly flareOdds: number
  /** By how much the lightest grey is under what the others lead to expect, in the signal; in standard errors. */
  readonly knee: { readonly short: number; readonly errors: number }
  readonly byTrueBlack: boolean
}

/** Pedestals with flare left open, and their standard errors: worth something where a true black is among the greys. */
export interface GreyPedestal {
  readonly pedestal: readonly [number, number, number]
  readonly pedestalError: readonly [number, number, number]
}

/** Fewer greys than these tell nothing of three things that bend their scale. */
const fewest = 5
/** What greys of two sensors differ by, as a share of their light, and what reading them adds in the signal: set on cameras 60000 to 60199. */
const greySpread = 0.006
const readSpread = 0.0015
/** Standard deviations of flare as a share of white, and of ln gamma: common practice, no source. */
const flareSpread = 0.008
const gammaSpread = 0.04

/** With gamma as good as fixed: bent a little it would take half of a pedestal over. Set on cameras 320000 to 320019. */
const noGamma = 0.004

/** Gains of red, green, blue as logarithms, three pedestals, flare, ln gamma. */
const [pedestalAt, flareAt, gammaAt, parameters] = [3, 6, 7, 8]

/** A grey as shot, and the target's light of it in the camera's primaries. */
export interface Grey {
  readonly signal: readonly [number, number, number]
  readonly aim: readonly [number, number, number]
  /** Is it the chart's true black, whose light is flare alone? */
  readonly isTrueBlack?: boolean
}

/** Flare at a light trap and over the greys beside it differ by this share of white: common practice, no source. */
const trapSpread = 0.001

/**
 * Tells pedestal, flare and gamma apart: a pedestal is added to the signal, flare to the light, and gamma bends what lies between.
 *
 * @param greys signal as shot and the target's light in the camera's primaries. @returns undefined for too few greys, and for
 * recordings that have no such controls
 */
export function greyTone(curve: Curve, greys: readonly Grey[]): GreyTone | undefined {
  const read = readable(curve, greys)
  if (read === undefined) return undefined
  const all = fitted(curve, read, ['pedestal', 'flare'])
  const withPedestal = fitted(curve, read, ['pedestal'])
  const withFlare = fitted(curve, read, ['flare'])
  const lightest = read.reduce((a, b) => (b.aim[1] > a.aim[1] ? b : a))
  const others = fitted(
    curve,
    read.filter((grey) => grey !== lightest),
    ['pedestal'],
  )
  return {
    byTrueBlack: read.some(({ isTrueBlack }) => isTrueBlack === true),
    gamma: all.theta[gammaAt]!,
    gammaError: errorAt(all, gammaAt),
    flare: withFlare.theta[flareAt]!,
    flareOdds: (withPedestal.cost - withFlare.cost) / 2,
    knee: others.shortOf(lightest),
  }
}

/** The pedestals alone, as `greyTone` takes its greys; undefined where that is. */
export function greyPedestal(curve: Curve, greys: readonly Grey[]): GreyPedestal | undefined {
  const read = readable(curve, greys)
  if (read === undefined) return undefined
  const straight = fitted(curve, read, ['pedestal', 'flare'], noGamma)
  const channels = [0, 1, 2] as const
  return {
    pedestal: map3(channels, (c) => straight.theta[pedestalAt + c]!),
    pedestalError: map3(channels, (c) => errorAt(straight, pedestalAt + c)),
  }
}

/** Those that were read, where they are enough and the recording has such controls. */
function readable(curve: Curve, greys: readonly Grey[]): Grey[] | undefined {
  const read = greys.filter(
    ({ signal, aim, isTrueBlack }) =>
      signal.every(Number.isFinite) && (isTrueBlack === true || Math.min(...aim) > 0),
  )
  return hasPedestal(curve) && read.length >= fewest ? read : undefined
}

/** Standard error of one parameter. */
const errorAt = ({ error }: ReturnType<typeof fitted>, at: number): number =>
  error(Float64Array.from({ length: parameters }, (_, j) => Number(j === at)))

type Bend = 'pedestal' | 'flare'

function fitted(curve: Curve, greys: readonly Grey[], free: readonly Bend[], bends = gammaSpread) {
  const strength = Float64Array.from({ length: parameters }, (_, j) => {
    if (j < pedestalAt) return 1e-3
    if (j < flareAt) return free.includes('pedestal') ? 1 / curve.pedestalSpread : 1e6
    return j === flareAt ? (free.includes('flare') ? 1 / flareSpread : 1e6) : 1 / bends
  })
  const light = ({ signal }: Grey, theta: ArrayLike<number>, c: 0 | 1 | 2) => {
    const code = signal[c] - theta[pedestalAt + c]!
    const plain = curve.decode(code, c)
    const straight = Math.sign(plain) * pow(Math.abs(plain), exp(-theta[gammaAt]!))
    return exp(theta[c]!) * straight
  }
  const errorOf = ({ signal, aim, isTrueBlack }: Grey, c: 0 | 1 | 2) =>
    hypot(
      isTrueBlack === true ? trapSpread : greySpread * aim[c],
      readSpread * Math.max(curveSlope(curve, signal[c], c), 0.05),
    )
  const residual = (grey: Grey, theta: ArrayLike<number>, c: 0 | 1 | 2) =>
    (light(grey, theta, c) - theta[flareAt]! - grey.aim[c]) / errorOf(grey, c)
  const step = 1e-5
  const problem: LeastSquaresProblem = {
    parameters,
    residuals: 3 * greys.length,
    prior: { strength, centre: new Float64Array(parameters) },
    evaluate(theta, residuals, jacobian) {
      const near = Float64Array.from(theta)
      for (const [g, grey] of greys.entries()) {
        for (let c = 0; c < 3; c++) {
          const row = 3 * g + c
          residuals[row] = residual(grey, theta, c as 0)
          for (let j = 0; j < parameters; j++) {
            near[j] = theta[j]! + step
            jacobian[row * parameters + j] = (residual(grey, near, c as 0) - residuals[row]!) / step
            near[j] = theta[j]!
          }
        }
      }
      return residuals.every(Number.isFinite)
    },
  }
  const start = new Float64Array(parameters)
  const middle = greys.reduce((a, b) => (Math.abs(b.aim[1] - 0.4) < Math.abs(a.aim[1] - 0.4) ? b : a))
  for (let c = 0; c < 3; c++) {
    const from = curve.decode(middle.signal[c as 0], c as 0)
    start[c] = from > 0 ? ln(middle.aim[c as 0] / from) : 0
  }
  const limits = { maxIterations: 30, costTolerance: 1e-7 }
  // Where a curve has a kink, gamma goes astray that begins together with all else.
  const unbent = strength.with(gammaAt, 1e6)
  const first = levenbergMarquardt(
    { ...problem, prior: { strength: unbent, centre: new Float64Array(parameters) } },
    start,
    limits,
  )
  const { theta, cost, jacobian } = levenbergMarquardt(problem, first.theta, limits)
  const m = parameters
  const normal = new Float64Array(m * m)
  for (let i = 0; i < jacobian.length; i += m) {
    for (let j = 0; j < m; j++)
      for (let k = 0; k <= j; k++) normal[j * m + k]! += jacobian[i + j]! * jacobian[i + k]!
  }
  for (let j = 0; j < m; j++) normal[j * m + j]! += strength[j]! ** 2
  cholesky(normal, m)
  /** Standard error of what changes by this with the parameters. */
  const error = (along: Float64Array) => {
    const column = along.slice()
    divideBySquare(normal, column)
    return Math.sqrt(column.reduce((sum, value, j) => sum + value * along[j]!, 0))
  }
  return {
    theta,
    cost,
    error,
    /** By how much green of a grey that took no part is under what is expected of it. */
    shortOf(grey: Grey) {
      const off = residual(grey, theta, 1)
      const near = Float64Array.from(theta)
      const along = Float64Array.from({ length: m }, (_, j) => {
        near[j] = theta[j]! + step
        const slope = (residual(grey, near, 1) - off) / step
        near[j] = theta[j]!
        return slope
      })
      const slope = exp(theta[1]!) * curveSlope(curve, grey.signal[1] - theta[pedestalAt + 1]!, 1)
      return {
        short: (-off * errorOf(grey, 1)) / Math.max(slope, 1e-6),
        errors: -off / hypot(1, error(along)),
      }
    },
  }
}
