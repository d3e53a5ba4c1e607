import { type Affine, scatterOfAffine } from '../fit/priorTowardsMatrix.ts'
import { apply3, invert3, type Vec3 } from '../linear/mat3.ts'
import { rootPolynomialAtWhite, rootPolynomialTerms } from '../model/rootPolynomial.ts'
import { joinAffine } from '../model/splitAffine.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { BlackSample, Samples } from '../samples/samples.ts'
import { cholesky, divideBySquare } from '../solver/cholesky.ts'
import { type ChartEvidence, type VirtualPatches, virtualPatches } from './materials/virtualPatches.ts'
import { mixedReflectances } from './materials/virtualReflectances.ts'
import { patchSet } from './patchSet.ts'

type RootKind = 'root-polynomial-2' | 'root-polynomial-3'

/** A root-polynomial match fitted to the chart and to what the chart tells of other materials. */
export interface InformedFit {
  /** The coefficients row by row, then the lift: θ of `rootPolynomialDesign`. */
  readonly theta: Float64Array
  /** Σ weight · ΔE00² over the chart, and what virtual patches and prior add. */
  readonly cost: number
  readonly iterations: number
  readonly converged: boolean
  /** By sample: θ of a match fitted without it, and without what it told of other materials. */
  readonly leaveOneOut: () => Float64Array[]
  /**
   * What virtual patches and prior say of θ beside the chart, to second order: (θ − centre)ᵀ·form·(θ − centre), form
   * square, row-major, with the centre where chart and prior together are least at `theta`. The lift is held.
   */
  readonly priorAt: (theta: Float64Array) => { readonly centre: Float64Array; readonly form: Float64Array }
}

const mixtures = 150
/** How virtual patches count. */
interface VirtualCount {
  /** All together, as so many patches of the chart where they are believed. */
  readonly patches: number
  /** They are believed as much as this at least, whatever the readings say of it. */
  readonly belief: number
}
/** On light that is as declared. */
const usualCount: VirtualCount = { patches: 90, belief: 0 }
/** Terms beyond the matrix, relative to the gain, are of about this size where other materials speak too. */
const usualRootTerm = 1.6
/** The lift is held where the pedestals are: by so many ΔE00 for a unit of light. */
const liftHeld = 1e4

/**
 * Least Σ weight · ΔE00² over the chart + 90 · belief · mean ΔE00² over virtual patches + Σ (scatter · term / usual)².
 *
 * The lift is not fitted: the prior tells the pedestals of both sides to a thousandth of white, where a fit would take
 * up metamerism with it. What virtual patches are less believed, it nears that of `affine`.
 *
 * @param affine the fit of `lift-gain-matrix` to the same samples: its residuals are the scatter.
 * @param counted how virtual patches count.
 * @param near where to start, θ of such a fit to nearly the same samples, for a θ to judge by alone: the rest is not to be
 * read then. Default `affine`.
 * @returns `undefined` where there is none, or where the chart's spectra are not known.
 */
export function informedFit(
  kind: RootKind,
  problem: MatchProblem,
  affine: Affine,
  counted: VirtualCount = usualCount,
  near?: Float64Array,
): InformedFit | undefined {
  const { samples, viewing } = problem
  const found = problem.evidence()
  if (found === undefined) return undefined
  const evidence = { ...found, belief: Math.max(found.belief, counted.belief) }
  const { reflectances } = evidence
  // Readings that are believed for want of better ones do not tell what single patches would have read.
  const unread = found.belief < counted.belief ? [] : found.unread
  const materials = unread.length === 0 ? reflectances : [...reflectances, ...unread]
  const virtual = virtualPatches(evidence, mixedReflectances(materials, mixtures), unread)
  if (virtual === undefined) return undefined
  const terms = rootPolynomialTerms(kind)
  const k = 3 + terms.length
  const m = 3 * k
  const scatter = scatterOfAffine(affine, problem.active.length)
  const lift = liftOf(evidence, affine, samples.trueBlack)
  const own = steadied(found, samples)
  const chart = patchSet(own.source, own.target, samples.weight, lift, terms, viewing)
  const each = (counted.patches * evidence.belief) / virtual.count
  const others = patchSet(
    virtual.source,
    virtual.target,
    new Float64Array(virtual.count).fill(each),
    lift,
    terms,
    viewing,
  )
  const atWhite = rootPolynomialAtWhite(terms, affine.model.gain)
  const strength = [0, 0, 0, ...atWhite.map((value) => (scatter * value) / usualRootTerm)]

  const theta = new Float64Array(m)
  if (near !== undefined) theta.set(near.subarray(0, m))
  else for (let c = 0; c < 3; c++) for (let i = 0; i < 3; i++) theta[c * k + i] = affine.theta[4 * c + i]!
  const normal = new Float64Array(m * m)
  const factor = new Float64Array(m * m)
  const gradient = new Float64Array(m)
  const step = new Float64Array(m)
  const trial = new Float64Array(m)

  const derive = (at: Float64Array) => {
    normal.fill(0)
    gradient.fill(0)
    return (
      chart.add(at, normal, gradient) + others.add(at, normal, gradient) + priorCost(at, normal, gradient)
    )
  }
  const priorCost = (at: Float64Array, into?: Float64Array, slope?: Float64Array) => {
    let sum = 0
    for (let j = 0; j < m; j++) {
      const s2 = strength[j % k]! ** 2
      sum += s2 * at[j]! * at[j]!
      if (into !== undefined) into[j * m + j]! += s2
      if (slope !== undefined) slope[j]! += s2 * at[j]!
    }
    return sum
  }
  let cost = derive(theta)
  let damping = 1e-6
  let iterations = 0
  let converged = false
  while (iterations < mostSteps) {
    iterations++
    factor.set(normal)
    for (let j = 0; j < m; j++) factor[j * m + j]! *= 1 + damping
    for (let j = 0; j < m; j++) step[j] = -gradient[j]!
    if (cholesky(factor, m)) {
      divideBySquare(factor, step)
      let promised = 0
      for (let j = 0; j < m; j++) {
        trial[j] = theta[j]! + step[j]!
        promised -= step[j]! * gradient[j]!
      }
      // From near by the last step can be believed without a look at where it leads.
      if (near !== undefined && promised < enoughNear * cost) {
        theta.set(trial)
        converged = true
        break
      }
      const found = chart.add(trial) + others.add(trial) + priorCost(trial)
      if (found <= cost) {
        const gained = cost - found
        theta.set(trial)
        damping = Math.max(damping / 10, 1e-9)
        cost = derive(theta)
        if (gained < enough * cost) {
          converged = true
          break
        }
        continue
      }
    }
    damping = Math.max(damping, 1e-6) * 30
    if (damping > 1e6) break
  }
  if (!Number.isFinite(cost)) return undefined

  return {
    theta: Float64Array.from([...theta, ...lift]),
    cost,
    iterations,
    converged,
    // One Newton step from the fit to all. A patch left out takes along what it told of the virtual ones: to first order
    // that moves their residuals as far as it moves their light.
    leaveOneOut() {
      const square = new Float64Array(m * m)
      const source = new Float64Array(virtual.source.length)
      const target = new Float64Array(virtual.target.length)
      const move = others.movesAt(theta, virtual.source, virtual.target)
      const chartSource = new Float64Array(own.source.length)
      const chartTarget = new Float64Array(own.target.length)
      const moveChart = chart.movesAt(theta, own.source, own.target)
      return Array.from({ length: samples.count }, (_, p) => {
        virtual.without(p, source, target)
        own.without(p, chartSource, chartTarget)
        square.fill(0)
        step.fill(0)
        chart.addOne(p, theta, square, step)
        trial.set(gradient)
        move(source, target, trial)
        moveChart(chartSource, chartTarget, trial)
        for (let j = 0; j < m; j++) step[j] = step[j]! - trial[j]!
        for (let i = 0; i < m * m; i++) factor[i] = normal[i]! - square[i]!
        if (cholesky(factor, m)) divideBySquare(factor, step)
        else step.fill(Number.NaN)
        const without = new Float64Array(m + 3)
        for (let j = 0; j < m; j++) without[j] = theta[j]! + step[j]!
        without.set(lift, m)
        return without
      })
    },
    priorAt(at) {
      const form = new Float64Array((m + 3) ** 2)
      const inner = new Float64Array(m * m)
      others.add(theta, inner, new Float64Array(m))
      priorCost(theta, inner)
      const slope = new Float64Array(m)
      const lifted: Vec3 = [at[m]!, at[m + 1]!, at[m + 2]!]
      patchSet(samples.source, samples.target, samples.weight, lifted, terms, viewing).add(
        at,
        undefined,
        slope,
      )
      for (let i = 0; i < m; i++) {
        for (let j = 0; j < m; j++) form[i * (m + 3) + j] = inner[Math.max(i, j) * m + Math.min(i, j)]!
      }
      for (let c = 0; c < 3; c++) form[(m + c) * (m + 3) + m + c] = liftHeld ** 2
      if (cholesky(inner, m)) divideBySquare(inner, slope)
      else slope.fill(0)
      return { form, centre: at.map((value, j) => value + (slope[j] ?? 0)) }
    },
  }
}

/**
 * The chart's own light, steadied by what all its readings tell of each: of noise that the prior sees, a part goes. As far as
 * the prior is believed; a target that is known stays as it is. The patch that is left out moves none of itself.
 */
function steadied(
  evidence: ChartEvidence,
  { source, target, targetWeights, count }: Samples,
): VirtualPatches {
  const { seen, aimed } = evidence.see(evidence.reflectances)
  const { belief } = evidence
  const all = Array.from({ length: count }, (_, p) => p)
  const mixed = (read: Float64Array, told: Float64Array, out: Float64Array) => {
    for (let i = 0; i < out.length; i++) out[i] = read[i]! + belief * (told[i]! - read[i]!)
  }
  const from = new Float64Array(3 * count)
  const to = Float64Array.from(target)
  mixed(source, seen.light, from)
  if (targetWeights === undefined) mixed(target, aimed.light, to)
  const told = new Float64Array(3 * count)
  return {
    count,
    source: from,
    target: to,
    without(p, outSource, outTarget) {
      seen.without(p, all, told)
      mixed(source, told, outSource)
      outSource.set(from.subarray(3 * p, 3 * p + 3), 3 * p)
      outTarget.set(to)
      if (targetWeights !== undefined) return
      aimed.without(p, all, told)
      mixed(target, told, outTarget)
      outTarget.set(to.subarray(3 * p, 3 * p + 3), 3 * p)
    },
  }
}

/** Steps at most, and the relative gain below which another is not worth it. */
const mostSteps = 30
const enough = 1e-6
/** The same for a fit that is only to judge by. */
const enoughNear = 1e-4

/** The lift that takes the pedestals out; of `affine` where they are not believed. A light trap shows them. */
function liftOf(
  { pedestal: told, belief }: ChartEvidence,
  { model }: Affine,
  trap: BlackSample | undefined,
): Vec3 {
  const pedestal = trap ?? told
  const inverse = invert3(joinAffine(model).B)
  const back = inverse === undefined ? ([0, 0, 0] as const) : apply3(inverse, [...pedestal.target])
  const lift = (c: 0 | 1 | 2) => belief * (back[c] - pedestal.source[c]) + (1 - belief) * model.lift[c]
  return [lift(0), lift(1), lift(2)]
}
