import { type Chart, isNeutral } from '../chart/chart.ts'
import { type Primaries, primariesConversion } from '../colour/primaries.ts'
import { viewing } from '../colour/viewing.ts'
import { nuisanceFit } from '../diagnose/nuisanceFit.ts'
import { exp } from '../elementary/exp.ts'
import { pow } from '../elementary/pow.ts'
import { resolveEncoding } from '../encoding/encoding.ts'
import { type TransferTable, table } from '../encoding/table.ts'
import { IsochipError, isIsochipError, type Warning } from '../errors.ts'
import { fitKind } from '../fit/fitKind.ts'
import { apply3, type Vec3 } from '../linear/mat3.ts'
import { matchProblem } from '../problem/matchProblem.ts'
import type { Readings } from '../readings.ts'
import { defaultClippedShare } from '../samples/clippedShare.ts'
import { prepareSamples } from '../samples/prepareSamples.ts'
import type { Target } from '../target/target.ts'
import { curveTerms } from './curveTerms.ts'
import { monotoneCurve } from './monotoneCurve.ts'

export interface MeasureInput {
  readonly chart: Chart
  /** Nominal code values of the camera whose curve is not known. */
  readonly readings: Readings
  readonly target: Target
  readonly working: Primaries
  /** The primaries that the camera is taken to have; what they are not, the matrix makes up for. */
  readonly primaries: Primaries
}

export interface MeasuredTransfer {
  /** The curve, as an encoding takes it: `resolveEncoding({ transfer: { table }, primaries })`. */
  readonly table: TransferTable
  /** Distinct grey levels that the curve runs through. */
  readonly levels: number
  /** Was the curve moved off the grey scale by what the colours say of it? */
  readonly refined: boolean
  readonly warnings: readonly Warning[]
}

/** With fewer grey levels, what lies between them is a guess. */
const fewestLevels = 4
/** As many have to be left when levels that repeat or fall are taken together. */
const fewestRising = 3
/** A grey that falls by more than this of the range is another patch than it is taken for. */
const mostFall = 0.1
/** Code values that differ by less than half a step of 10 bits are the same. */
const leastStep = 0.0005
/** Samples of the table over code values 0…1. */
const samples = 257
/** In light to this power, the curves that cameras have are nearly straight, and so well drawn by a few points. */
const bent = 1 / 2.4

/**
 * Estimate a camera's transfer characteristic from the chart: one monotone curve a channel through the grey scale,
 * whose light is the target's; then, together with a lift-gain-matrix match to all patches, a power and its bend in each
 * channel, kept where they lower the cost by more than chance.
 *
 * What lies above the white and below the black of the chart is continued, and a warning says from where on.
 *
 * @throws IsochipError `too-few-patches` with fewer than four distinct grey levels; `readings-invalid` where the code
 * values of the greys do not rise with their light; those that
 * repeat, clip, or fall by less than a tenth do no harm
 */
export function measureTransfer(input: MeasureInput): MeasuredTransfer {
  const { chart, readings, target, working, primaries } = input
  const toCamera = primariesConversion(working, primaries)
  const byName = new Map(readings.patches.map((reading) => [reading.patch, reading]))
  const greys = chart.patches.flatMap((patch) => {
    const reading = byName.get(patch.name)
    const aim = target.light.get(patch.name)
    if (
      !isNeutral(patch) ||
      reading === undefined ||
      aim === undefined ||
      (reading.clipped ?? 0) > defaultClippedShare
    )
      return []
    return [{ code: reading.rgb, light: apply3(toCamera, aim) }]
  })
  const curves = ([0, 1, 2] as const).map((c) => greyCurve(greys, c))
  const levels = Math.min(...curves.map((curve) => curve.levels))
  const code = Array.from({ length: samples }, (_, i) => i / (samples - 1))
  const first: TransferTable = {
    code,
    light: [
      rising(code.map(curves[0]!.light)),
      rising(code.map(curves[1]!.light)),
      rising(code.map(curves[2]!.light)),
    ],
  }
  table(first)
  const refined = refine(input, first)
  const low = Math.max(...curves.map((curve) => curve.lowest))
  const high = Math.min(...curves.map((curve) => curve.highest))
  return {
    table: refined ?? first,
    levels,
    refined: refined !== undefined,
    warnings: [
      {
        code: 'curve-measured',
        message: `the transfer curve is measured on ${levels} grey levels between code values ${low.toFixed(3)} and ${high.toFixed(3)}; outside of these it is extrapolated`,
      },
    ],
  }
}

/** Patches of one grey: their code value, their light to the power `bent`, and how many they are. */
interface GreyLevel {
  readonly code: number
  readonly bent: number
  readonly count: number
}

interface GreyCurve {
  readonly light: (code: number) => number
  readonly levels: number
  readonly lowest: number
  readonly highest: number
}

function greyCurve(greys: readonly { readonly code: Vec3; readonly light: Vec3 }[], c: 0 | 1 | 2): GreyCurve {
  const sorted = greys
    .map(({ code, light }) => ({ code: code[c], bent: pow(Math.max(light[c], 0), bent) }))
    .sort((a, b) => a.bent - b.bent)
  // Patches of one level (a crossed grey scale) are one point.
  const points: GreyLevel[] = []
  for (const grey of sorted) {
    const last = points.at(-1)
    if (last !== undefined && grey.bent - last.bent < 0.005) {
      const count = last.count + 1
      points[points.length - 1] = {
        code: (last.code * last.count + grey.code) / count,
        bent: (last.bent * last.count + grey.bent) / count,
        count,
      }
    } else points.push({ ...grey, count: 1 })
  }
  if (points.length < fewestLevels) {
    throw new IsochipError(
      'too-few-patches',
      `${points.length} distinct grey levels to measure a transfer curve on, expected ${fewestLevels} or more`,
      { hint: 'give the encoding, or use a chart with a longer grey scale' },
    )
  }
  const falls = points.findIndex((point, i) => i > 0 && point.code < points[i - 1]!.code - mostFall)
  const rising = risingLevels(points)
  if (falls > 0 || rising.length < fewestRising) {
    throw new IsochipError(
      'readings-invalid',
      `the ${['red', 'green', 'blue'][c]} code values of the grey scale do not rise with its light: ${
        falls > 0
          ? `${points[falls]!.code.toFixed(4)} after ${points[falls - 1]!.code.toFixed(4)}`
          : `of ${points.length} levels ${rising.length} ${rising.length === 1 ? 'is' : 'are'} left when those that repeat are taken together, expected ${fewestRising} or more`
      }`,
      { hint: 'is the chart lit evenly, the right way up, and free of reflections on its greys?' },
    )
  }
  const curve = monotoneCurve(
    rising.map((point) => point.code),
    rising.map((point) => point.bent),
  )
  return {
    light: (code) => {
      const value = curve(code)
      return Math.sign(value) * pow(Math.abs(value), 1 / bent)
    },
    levels: rising.length,
    lowest: rising[0]!.code,
    highest: rising.at(-1)!.code,
  }
}

/**
 * Levels whose code values repeat or fall against their light are taken together, as little as it takes for the rest to
 * rise: the pool-adjacent-violators algorithm of isotonic regression (R. E. Barlow, D. J. Bartholomew, J. M. Bremner,
 * H. D. Brunk, Statistical Inference under Order Restrictions, 1972). White that clips, and greys that a reflection
 * has changed by rounding, so become one point of the curve.
 */
function risingLevels(points: readonly GreyLevel[]): GreyLevel[] {
  const pools: GreyLevel[] = []
  for (const point of points) {
    let pool = point
    for (
      let last = pools.at(-1);
      last !== undefined && !(pool.code > last.code + leastStep);
      last = pools.at(-1)
    ) {
      pools.pop()
      const count = last.count + pool.count
      pool = {
        code: (last.code * last.count + pool.code * pool.count) / count,
        bent: (last.bent * last.count + pool.bent * pool.count) / count,
        count,
      }
    }
    pools.push(pool)
  }
  return pools
}

/** Where the continued toe runs flat at black, the smallest rise that still has an inverse. */
function rising(values: number[]): number[] {
  for (let i = 1; i < values.length; i++) values[i] = Math.max(values[i]!, values[i - 1]! + 1e-9)
  return values
}

/** The table after a joint fit of curve and match; `undefined` where that is no better than chance, or not a curve. */
function refine(input: MeasureInput, first: TransferTable): TransferTable | undefined {
  const { chart, readings, target, working, primaries } = input
  const encoding = resolveEncoding({ transfer: { table: first }, primaries })
  const measure = {
    declared: primariesConversion(primaries, working),
    viewing: viewing(working, 'scene'),
    objective: 'perceptual' as const,
  }
  try {
    const problem = matchProblem(prepareSamples(chart, readings, encoding, target, {}).samples, measure)
    const fit = fitKind('lift-gain-matrix', problem)
    const terms = curveTerms(problem.samples)
    const joint = nuisanceFit(fit, problem, terms)
    if (joint === undefined) return undefined
    // An F statistic of 3 or more with six and some forty degrees of freedom: chance in about one of fifty.
    if ((fit.cost - joint.cost) / terms.terms < 3 * (joint.cost / joint.freedom)) return undefined
    const light = first.light.map((values, c) =>
      values.map((value) => value * exp(terms.exponent(value, c as 0 | 1 | 2, joint.eta))),
    )
    const refined: TransferTable = { code: first.code, light: [light[0]!, light[1]!, light[2]!] }
    table(refined)
    return refined
  } catch (error) {
    // Patches that carry no matrix, or a curve that would not rise: the grey scale's own curve stands.
    if (isIsochipError(error)) return undefined
    throw error
  }
}
