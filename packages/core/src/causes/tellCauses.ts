import { noiseVariances } from '../diagnose/noiseVariances.ts'
import { hypot } from '../elementary/hypot.ts'
import { norm } from '../elementary/norm.ts'
import type { Fit } from '../fit/fitKind.ts'
import { type ResidualSlopes, residualSlopes } from '../fit/residualSlopes.ts'
import type { MatchModel } from '../model/model.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Samples } from '../samples/samples.ts'
import {
  type Columns,
  chromaColumns,
  clippingColumns,
  curveColumns,
  spectralColumns,
  unevenColumns,
  unitColumns,
} from './columns.ts'
import { type Cause, evidenceOf } from './evidence.ts'
import { leftByFit } from './leftByFit.ts'
import { looksClipped } from './looksClipped.ts'
import { type Weighed, weighCauses } from './weighCauses.ts'

export interface CauseInput {
  readonly fit: Fit
  readonly problem: MatchProblem
  /** Samples that are outliers. */
  readonly foreign: ReadonlySet<number>
}

export interface Causes extends Weighed {
  /** By cause: its part in each sample's ΔE00; the parts of a sample add up to it. */
  readonly parts: ReadonlyMap<Cause | 'noise', Float64Array>
}

/** Readings and models are no better than this, ΔE00. */
const floor = 0.05
/** Everything is reckoned to first order: what is left off of a large residual, as a share of it. */
const bend = 0.07
/** What the fit takes up may be of any size, in ΔE00. */
const loose = 100

/**
 * What the residuals of a match are made of: the causes that make them more probable, weighed against each other, and each
 * one's part. Judged in ΔE00, whatever the objective.
 *
 * @returns `undefined` for samples that are not of a chart.
 */
export function tellCauses({ fit, problem, foreign }: CauseInput): Causes | undefined {
  const { samples } = problem
  if (samples.onChart === undefined) return undefined
  const slopes = residualSlopes(problem.evenly().perceptual(), fit.design, fit.theta)
  const { residuals } = slopes
  const noise = noiseVariances(slopes, samples)
  const variances = noise.map((variance, i) => {
    const p = i - (i % 3)
    const size = hypot(residuals[p]!, residuals[p + 1]!, residuals[p + 2]!)
    return variance + floor ** 2 + (bend * size) ** 2
  })
  const taken = takenByFit(slopes, fit.design.parameters)
  const columns = columnsOf(slopes, problem, samples.onChart, foreign)
  const base = { columns: taken.map((column) => column.map((value) => loose * value)), variances }
  const evidence = evidenceOf(residuals, base, columns)
  const weighed = weighCauses(evidence, foreign)
  const { parts, gains } = partsOf(weighed, evidence.weighted(weighed.strengths), {
    slopes,
    samples,
    model: fit.model,
    columns,
    foreign,
    noise,
    variances,
    left: leftByFit(taken, samples.weight),
  })
  return { ...weighed, parts, gains }
}

/** How the residuals move with each parameter, at unit length: the fit has taken up what is along these. */
function takenByFit({ byTheta, residuals }: ResidualSlopes, parameters: number): Columns {
  return Array.from({ length: parameters }, (_, j) => {
    const column = residuals.map((_, i) => byTheta[i * parameters + j]!)
    const size = norm(column) || 1
    return column.map((value) => value / size)
  })
}

function columnsOf(
  slopes: ResidualSlopes,
  problem: MatchProblem,
  { places, clipped }: NonNullable<Samples['onChart']>,
  foreign: ReadonlySet<number>,
): Readonly<Record<Cause, Columns>> {
  const { samples } = problem
  const n = slopes.residuals.length
  return {
    spectral: spectralColumns(slopes, samples, problem.prior()) ?? chromaColumns(problem),
    curve: curveColumns(slopes, samples),
    unevenness: unevenColumns(slopes, samples, places),
    clipping: clippingColumns(slopes, samples, clipped),
    foreign: unitColumns(n, [...foreign]),
    other: unitColumns(n, [...Array(samples.count).keys()]),
  }
}

interface Shared {
  readonly slopes: ResidualSlopes
  readonly samples: Samples
  readonly model: MatchModel
  readonly columns: Readonly<Record<Cause, Columns>>
  readonly foreign: ReadonlySet<number>
  readonly noise: Float64Array
  readonly variances: Float64Array
  /** What the fit leaves of a nuisance. */
  readonly left: (v: Float64Array) => Float64Array
}

/**
 * What each cause is expected to have done, along the residuals that are there. Foreign patches that are off as
 * those that clipped are counted as such.
 *
 * @param alpha the residuals divided by their covariance.
 */
function partsOf(
  { strengths, gains: weighed }: Weighed,
  alpha: Float64Array,
  { slopes, samples, model, columns, foreign, noise, variances, left }: Shared,
): Pick<Causes, 'parts' | 'gains'> {
  const { residuals } = slopes
  const parts = new Map<Cause | 'noise', Float64Array>()
  const gains = new Map(weighed)
  const add = (cause: Cause | 'noise', done: Float64Array) => {
    const part = alongResiduals(left(done), residuals)
    parts.set(
      cause,
      part.map((value, p) => value + (parts.get(cause)?.[p] ?? 0)),
    )
  }
  for (const [cause, strength] of strengths) {
    if (cause !== 'foreign') add(cause, expected(columns[cause], strength, alpha))
  }
  const strength = strengths.get('foreign')
  // Clipping takes light away and adds none to others: of two patches that are swapped one looks clipped.
  const cause = [...foreign].every((p) => looksClipped(p, model, samples)) ? 'clipping' : 'foreign'
  for (const p of strength === undefined ? [] : foreign) {
    const off = expected(unitColumns(residuals.length, [p]), strength!, alpha)
    add(cause, off)
    gains.set(cause, Math.max(gains.get(cause) ?? 0, gains.get('foreign') ?? 0))
  }
  add(
    'noise',
    noise.map((variance, i) => variance * alpha[i]!),
  )
  add(
    'other',
    variances.map((variance, i) => (variance - noise[i]!) * alpha[i]!),
  )
  return { parts, gains }
}

/** What disturbances of this strength are expected to have done: their covariance times α. */
function expected(columns: Columns, strength: number, alpha: Float64Array): Float64Array {
  const done = new Float64Array(alpha.length)
  for (const column of columns) {
    let dot = 0
    for (let i = 0; i < done.length; i++) dot += column[i]! * alpha[i]!
    for (let i = 0; i < done.length; i++) done[i]! += strength ** 2 * dot * column[i]!
  }
  return done
}

/** By patch: the length of v along the patch's three residuals. */
function alongResiduals(v: Float64Array, residuals: Float64Array): Float64Array {
  return Float64Array.from({ length: v.length / 3 }, (_, p) => {
    const [a, b, c] = [residuals[3 * p]!, residuals[3 * p + 1]!, residuals[3 * p + 2]!]
    return (v[3 * p]! * a + v[3 * p + 1]! * b + v[3 * p + 2]! * c) / (hypot(a, b, c) || 1)
  })
}
