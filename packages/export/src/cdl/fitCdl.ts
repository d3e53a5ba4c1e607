import { ciede2000Jet, IsochipError, jetSize, levenbergMarquardt, pow, type Vec3 } from '@isochip/core'
import { compareTransforms } from '../bake/compareTransforms.ts'
import { type EncodedMatch, matchTransform } from '../bake/matchTransform.ts'
import { outputLab } from '../bake/outputLab.ts'
import { samplePoints } from '../bake/samplePoints.ts'
import { type Cdl, cdlTransform } from './cdl.ts'

/** ΔE00 from the match. */
interface CdlDifference {
  readonly mean: number
  readonly max: number
}

export interface FittedCdl {
  readonly cdl: Cdl
  /** At the inputs that matter: the patches of the chart. */
  readonly points: CdlDifference
  /** Over the inputs whose match the output holds. */
  readonly colours: CdlDifference
}

/** Inputs that are tried, and how many of those that the output holds take part. */
const tried = 8192
const most = 256
/** Powers to start from; the best of them is followed. */
const startPowers = [0.4, 0.7, 1, 1.5, 2.5]
const parameters = 10
/** Numbers in the file. */
const digits = 7

/**
 * The ASC CDL that comes nearest to a match: it takes the camera's code values to those of the output. Least squares of ΔE00
 * over the points (half of the weight) and over inputs spread over the colours that the output holds (the other half).
 * A match of cameras is mostly a matrix, which a decision list does not have: what is left can be large, and is stated.
 *
 * @param points inputs that matter, as code fractions: the patches of the chart
 * @throws IsochipError `match-invalid` where the output holds nothing of what the match gives
 */
export function fitCdl(match: EncodedMatch, points: readonly Vec3[]): FittedCdl {
  const exact = matchTransform(match)
  const lab = outputLab(match.output, match.bits)
  const held = (code: Vec3) => exact(code).every((x) => x >= 0 && x <= 1)
  const colours: Vec3[] = []
  for (const code of samplePoints(tried)) if (colours.length < most && held(code)) colours.push(code)
  const inputs = [...points, ...colours]
  if (inputs.length < 4) {
    throw new IsochipError('match-invalid', 'the output holds none of the colours that the match gives')
  }
  const labs = inputs.map((code) => lab(exact(code)))
  const weight = inputs.map((_, i) => Math.sqrt(0.5 / (i < points.length ? points.length : colours.length)))
  const jet = new Float64Array(jetSize)
  const residualsOf = (theta: ArrayLike<number>, out: Float64Array): boolean => {
    const cdl = cdlOf(theta)
    if (!isCdl(cdl)) return false
    const apply = cdlTransform(cdl, false)
    for (let i = 0; i < inputs.length; i++) {
      const [is, should] = [lab(apply(inputs[i]!)), labs[i]!]
      ciede2000Jet(is[0], is[1], is[2], should[0], should[1], should[2], out, 3 * i, jet)
      for (let k = 0; k < 3; k++) out[3 * i + k]! *= weight[i]!
    }
    return true
  }
  const count = 3 * inputs.length
  const near = new Float64Array(count)
  const cost = (theta: ArrayLike<number>) =>
    residualsOf(theta, near) ? near.reduce((sum, r) => sum + r * r, 0) : Number.POSITIVE_INFINITY
  const starts = startPowers.map((power) => startOf(inputs, exact, power))
  const start = starts.reduce((a, b) => (cost(b) < cost(a) ? b : a))
  const step = 1e-6
  const { theta } = levenbergMarquardt(
    {
      parameters,
      residuals: count,
      evaluate(at, residuals, jacobian) {
        if (!residualsOf(at, residuals)) return false
        const moved = Float64Array.from(at)
        for (let p = 0; p < parameters; p++) {
          moved[p] = at[p]! + step
          if (!residualsOf(moved, near)) return false
          for (let i = 0; i < count; i++) jacobian[i * parameters + p] = (near[i]! - residuals[i]!) / step
          moved[p] = at[p]!
        }
        return true
      },
    },
    start,
    { maxIterations: 60, costTolerance: 1e-9 },
  )
  const cdl = cdlOf(theta.map((x) => Number(x.toPrecision(digits))))
  const off = (at: readonly Vec3[]): CdlDifference => {
    const { meanDE00, maxDE00 } = compareTransforms(cdlTransform(cdl), exact, at, lab)
    return { mean: meanDE00, max: maxDE00 }
  }
  return { cdl, points: off(points), colours: off(colours) }
}

const cdlOf = (t: ArrayLike<number>): Cdl => ({
  slope: [t[0]!, t[1]!, t[2]!],
  offset: [t[3]!, t[4]!, t[5]!],
  power: [t[6]!, t[7]!, t[8]!],
  saturation: t[9]!,
})

/** Slope and saturation are not negative, power is above 0; beyond these nobody sets one. */
const isCdl = ({ slope, power, saturation }: Cdl): boolean =>
  [...slope, saturation].every((x) => x >= 0 && x < 100) && power.every((x) => x > 0.02 && x < 50)

/** For a power, the straight line of each channel through the inputs and the answers, brought to 1/power. */
function startOf(inputs: readonly Vec3[], exact: (code: Vec3) => Vec3, power: number): number[] {
  const theta = [1, 1, 1, 0, 0, 0, power, power, power, 1]
  const answers = inputs.map(exact)
  for (const c of [0, 1, 2] as const) {
    let [n, sx, sy, sxx, sxy] = [0, 0, 0, 0, 0]
    for (const [i, input] of inputs.entries()) {
      const y = pow(Math.min(Math.max(answers[i]![c], 0), 1), 1 / power)
      n++
      sx += input[c]
      sy += y
      sxx += input[c] * input[c]
      sxy += input[c] * y
    }
    const slope = Math.max((n * sxy - sx * sy) / Math.max(n * sxx - sx * sx, 1e-12), 1e-3)
    theta[c] = slope
    theta[3 + c] = (sy - slope * sx) / n
  }
  return theta
}
