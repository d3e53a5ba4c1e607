import { noiseVariances } from '../diagnose/noiseVariances.ts'
import type { Fit } from '../fit/fitKind.ts'
import { type ResidualSlopes, residualSlopes } from '../fit/residualSlopes.ts'
import { apply3, invert3 } from '../linear/mat3.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Samples } from '../samples/samples.ts'
import {
  type Columns,
  clippingColumns,
  curveColumns,
  nearTop,
  sharesTop,
  spectralColumns,
  topOfChannel,
  unevenColumns,
} from './columns.ts'
import { addColumns, backward, factor, forward, logEvidence } from './evidence.ts'

/** What can leave a residual. `other` is what has no pattern. */
export type Cause = 'spectral' | 'curve' | 'unevenness' | 'clipping' | 'foreign' | 'other'

export interface CauseInput {
  readonly fit: Fit
  readonly problem: MatchProblem
  /** Samples that are outliers. */
  readonly foreign: ReadonlySet<number>
}

export interface Causes {
  /** By cause: its part in each sample's ΔE00; the parts of a sample add up to it. */
  readonly parts: ReadonlyMap<Cause | 'noise', Float64Array>
  /** How much more probable the residuals become by each cause, given all others that are there, as a logarithm. */
  readonly gains: ReadonlyMap<Cause, number>
  readonly strengths: ReadonlyMap<Cause, number>
  /** What was compared for the first cause beside spectra and outliers, with the gain of each. */
  readonly rivals: readonly { readonly cause: Cause; readonly gain: number }[]
  /** By outlier: the same gain for that sample alone, beside the other outliers. */
  readonly foreignGains: ReadonlyMap<number, number>
}

/** Strengths that are tried, weakest first. */
const strengths: Readonly<Record<Cause, readonly number[]>> = {
  spectral: [0.02, 0.05, 0.1, 0.2, 0.4, 0.8],
  curve: [0.03, 0.1, 0.3],
  unevenness: [0.03, 0.1, 0.3],
  clipping: [0.05, 0.3],
  foreign: [4, 15, 40],
  other: [0.15, 0.4, 1, 2.5],
}
/** Readings and models are no better than this, ΔE00. */
const floor = 0.05
/** Everything is reckoned to first order: what is left off of a large residual, as a share of it. */
const bend = 0.07
/** A cause that makes the residuals less than e⁴ times as probable has not shown itself. */
const shown = 4
const loose = 100

type State = ReadonlyMap<Cause, number>

interface Scored {
  readonly state: State
  readonly value: number
}

/**
 * @returns `undefined` for samples that are not of a chart.
 */
export function tellCauses(input: CauseInput): Causes | undefined {
  const { fit, problem, foreign } = input
  const { samples } = problem
  if (samples.onChart === undefined) return undefined
  const { places, clipped } = samples.onChart
  const { design, theta } = fit
  const slopes = residualSlopes(problem.evenly().perceptual(), design, theta)
  const n = slopes.residuals.length
  const m = design.parameters
  const noise = noiseVariances(slopes, samples)
  const error = noise.map((variance, i) => {
    const p = i - (i % 3)
    const size = Math.hypot(slopes.residuals[p]!, slopes.residuals[p + 1]!, slopes.residuals[p + 2]!)
    return variance + floor ** 2 + (bend * size) ** 2
  })
  const affine: Float64Array[] = Array.from({ length: m }, (_, j) => {
    const column = Float64Array.from({ length: n }, (_, i) => slopes.byTheta[i * m + j]!)
    const size = Math.hypot(...column) || 1
    return column.map((value) => value / size)
  })
  const spectral = spectralColumns(slopes, samples, problem.prior()) ?? chromaColumns(problem)
  const columns: Record<Cause, Columns> = {
    spectral,
    curve: curveColumns(slopes, samples),
    unevenness: unevenColumns(slopes, samples, places),
    clipping: clippingColumns(slopes, samples, clipped),
    foreign: unitColumns(n, [...foreign]),
    other: unitColumns(
      n,
      Array.from({ length: samples.count }, (_, p) => p),
    ),
  }
  const base = new Float64Array(n * n)
  addColumns(base, n, affine, loose ** 2)
  for (let i = 0; i < n; i++) base[i * n + i]! += error[i]!
  const units = Object.fromEntries(
    Object.entries(columns).map(([cause, list]) => {
      const K = new Float64Array(n * n)
      addColumns(K, n, list, 1)
      return [cause, K]
    }),
  ) as Record<Cause, Float64Array>

  const y = slopes.residuals
  const covarianceOf = (state: State) => {
    const K = base.slice()
    for (const [cause, strength] of state) {
      const C = units[cause]
      const v = strength ** 2
      for (let i = 0; i < K.length; i++) K[i]! += v * C[i]!
    }
    return K
  }
  const factored = (state: State) => {
    const K = covarianceOf(state)
    factor(K, n)
    return K
  }
  const evidence = (state: State) => logEvidence(factored(state), n, y)
  const best = (state: State, cause: Cause): Scored => {
    let top: Scored = { state, value: Number.NEGATIVE_INFINITY }
    for (const strength of strengths[cause]) {
      const next = new Map([...state, [cause, strength]])
      const value = evidence(next)
      if (value > top.value) top = { state: next, value }
    }
    return top
  }
  let now = best(new Map(), 'spectral')
  if (foreign.size > 0) now = best(best(now.state, 'foreign').state, 'spectral')
  let rivals: Causes['rivals'] = []
  const gains = new Map<Cause, number>()
  for (let round = 0; round < 3; round++) {
    const compared = (['curve', 'unevenness', 'clipping', 'other'] as const)
      .filter((cause) => !now.state.has(cause))
      .map((cause) => {
        const added = best(now.state, cause)
        // What a cause explains, spectra need not.
        return { cause, ...(added.value > now.value - shown ? best(added.state, 'spectral') : added) }
      })
      .sort((a, b) => b.value - a.value)
    const before = now.value
    const ranked = compared.map(({ cause, value }) => ({ cause, gain: value - before }))
    for (const { cause, gain } of ranked) gains.set(cause, gain)
    // What the first, strongest cause was preferred to.
    if (round === 0) rivals = ranked
    const [first] = compared
    if (first === undefined || first.value - before < shown) break
    now = first
  }
  const foreignGains = new Map<number, number>()
  const strength = now.state.get('foreign') ?? 0
  for (const p of foreign) {
    const K = covarianceOf(now.state)
    for (let i = 3 * p; i < 3 * p + 3; i++) K[i * n + i]! -= strength ** 2
    factor(K, n)
    foreignGains.set(p, now.value - logEvidence(K, n, y))
  }
  // A cause that has become needless beside the others goes.
  for (const cause of [...now.state.keys()]) {
    if (cause === 'spectral') continue
    const rest = new Map(now.state)
    rest.delete(cause)
    const without = evidence(rest)
    gains.set(cause, now.value - without)
    if (now.value - without < shown) now = { state: rest, value: without }
  }
  const L = factored(now.state)
  const alpha = backward(L, n, forward(L, n, y))
  const parts = new Map<Cause | 'noise', Float64Array>()
  const through = projector(affine, samples, n)
  const along = (v: Float64Array) => {
    const kept = through(v)
    return Float64Array.from({ length: samples.count }, (_, p) => {
      const size = Math.hypot(y[3 * p]!, y[3 * p + 1]!, y[3 * p + 2]!) || 1
      return (
        (kept[3 * p]! * y[3 * p]! + kept[3 * p + 1]! * y[3 * p + 1]! + kept[3 * p + 2]! * y[3 * p + 2]!) /
        size
      )
    })
  }
  const ownPart = (strength: number, list: Columns) => {
    const v = new Float64Array(n)
    for (const column of list) {
      let dot = 0
      for (let i = 0; i < n; i++) dot += column[i]! * alpha[i]!
      for (let i = 0; i < n; i++) v[i]! += strength ** 2 * dot * column[i]!
    }
    return v
  }
  const add = (cause: Cause, part: Float64Array) =>
    parts.set(
      cause,
      part.map((value, p) => value + (parts.get(cause)?.[p] ?? 0)),
    )
  for (const [cause, strength] of now.state) {
    if (cause !== 'foreign') add(cause, along(ownPart(strength, columns[cause])))
  }
  for (const p of now.state.has('foreign') ? foreign : []) {
    const off = ownPart(now.state.get('foreign')!, unitColumns(n, [p]))
    const cause = looksClipped(off.subarray(3 * p, 3 * p + 3), p, slopes, samples) ? 'clipping' : 'foreign'
    add(cause, along(off))
    gains.set(cause, Math.max(gains.get(cause) ?? 0, gains.get('foreign') ?? 0))
  }
  parts.set('noise', along(noise.map((variance, i) => variance * alpha[i]!)))
  add('other', along(error.map((variance, i) => (variance - noise[i]!) * alpha[i]!)))
  return { parts, gains, strengths: now.state, rivals, foreignGains }
}

/** By which share a bright channel must be too low to have clipped, and how much less the others may be too high. */
const tooLow = 0.04
const hardlyHigh = 0.5

/** Is a patch off because a bright channel of source or target reads too low? */
function looksClipped(off: Float64Array, p: number, slopes: ResidualSlopes, samples: Samples): boolean {
  return (['source', 'target'] as const).some((of) => {
    const s = slopes[of === 'source' ? 'bySource' : 'byTarget'].subarray(9 * p, 9 * p + 9)
    const back = invert3([
      [s[0]!, s[1]!, s[2]!],
      [s[3]!, s[4]!, s[5]!],
      [s[6]!, s[7]!, s[8]!],
    ])
    if (back === undefined) return false
    const light = samples[of]
    const shift = apply3(back, [off[0]!, off[1]!, off[2]!])
    const relative = shift.map((value, c) => value / Math.max(light[3 * p + c]!, 1e-9))
    const lowest = Math.min(
      ...relative.filter((_, c) => {
        const bright = light[3 * p + c]! >= nearTop * topOfChannel(light, c)
        return bright && (of === 'source' || sharesTop(light, c))
      }),
    )
    return lowest < -tooLow && relative.every((value) => value < -hardlyHigh * lowest)
  })
}

function unitColumns(n: number, patches: readonly number[]): Columns {
  return patches.flatMap((p) =>
    [0, 1, 2].map((c) => {
      const column = new Float64Array(n)
      column[3 * p + c] = 1
      return column
    }),
  )
}

/** Where spectra are not known: each patch for itself, by its chroma; 1 at a strength of 0.1. */
function chromaColumns({ samples, targetLab }: MatchProblem): Columns {
  const lab = targetLab()
  return Array.from({ length: samples.count }, (_, p) => {
    const size = 3 + 10 * Math.min(Math.hypot(lab[3 * p + 1]!, lab[3 * p + 2]!) / 40, 1)
    return [0, 1, 2].map((c) => {
      const column = new Float64Array(3 * samples.count)
      column[3 * p + c] = size
      return column
    })
  }).flat()
}

/** What the fit leaves of a disturbance: v − J·(JᵀWJ)⁻¹·JᵀW·v. */
function projector(affine: readonly Float64Array[], samples: Samples, n: number) {
  const m = affine.length
  const weighted = affine.map((column) =>
    column.map((value, i) => value * samples.weight[Math.floor(i / 3)]!),
  )
  const normal = new Float64Array(m * m)
  for (let a = 0; a < m; a++) {
    for (let b = 0; b <= a; b++) {
      let sum = 0
      for (let i = 0; i < n; i++) sum += weighted[a]![i]! * affine[b]![i]!
      normal[a * m + b] = sum
    }
    normal[a * m + a]! *= 1 + 1e-9
  }
  factor(normal, m)
  return (v: Float64Array) => {
    const sides = Float64Array.from(weighted, (column) =>
      column.reduce((sum, value, i) => sum + value * v[i]!, 0),
    )
    const x = backward(normal, m, forward(normal, m, sides))
    return v.map((value, i) => value - affine.reduce((sum, column, j) => sum + column[i]! * x[j]!, 0))
  }
}
