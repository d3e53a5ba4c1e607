import { hypot } from '../elementary/hypot.ts'
import { ln } from '../elementary/ln.ts'
import { pow } from '../elementary/pow.ts'
import type { ResidualSlopes } from '../fit/residualSlopes.ts'
import { meanReflectance, readingCovariance } from '../prior/expectReadings.ts'
import type { SensorPrior } from '../prior/sensorPrior.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Samples } from '../samples/samples.ts'

/** What a nuisance of unit strength does to the residuals, three per patch in ΔE00; one array per nuisance. */
export type Columns = readonly Float64Array[]

/** The residuals' answer to a change of the source's or target's light, three numbers per patch. */
function answer(slopes: Float64Array, change: Float64Array): Float64Array {
  const column = new Float64Array(change.length)
  for (let i = 0; i < column.length; i++) {
    const p = i - (i % 3)
    const s = 3 * i
    column[i] = slopes[s]! * change[p]! + slopes[s + 1]! * change[p + 1]! + slopes[s + 2]! * change[p + 2]!
  }
  return column
}

/** The answer to a change of one channel alone. */
function answerOf(slopes: Float64Array, change: Float64Array, channel: number): Float64Array {
  const column = new Float64Array(change.length)
  for (let i = 0; i < column.length; i++) {
    column[i] = slopes[3 * i + channel]! * change[i - (i % 3) + channel]!
  }
  return column
}

const topOf = (light: Float64Array) => light.reduce((most, value) => Math.max(most, Math.abs(value)), 1e-9)

/** Errors of single channels' curves are smaller than those of all three. */
const singly = 0.3

/** A transfer curve that is off: a power, a bend of it, a foot, a shoulder, in all channels or in one; in source or target. */
export function curveColumns({ bySource, byTarget }: ResidualSlopes, { source, target }: Samples): Columns {
  const shapes = [
    (x: number) => ln(x),
    (x: number) => 0.3 * ln(x) ** 2,
    (x: number) => 0.3 * (pow(x, -0.4) - 1),
    (x: number) => Math.max(ln(x) + 1, 0) ** 2,
  ]
  const bent = (light: Float64Array, slopes: Float64Array) => {
    const top = topOf(light)
    return shapes.flatMap((shape) => {
      const change = light.map((value) => value * shape(Math.max(value / top, 1e-3)))
      const ofOne = change.map((value) => value * singly)
      return [answer(slopes, change), ...[0, 1, 2].map((c) => answerOf(slopes, ofOne, c))]
    })
  }
  return [...bent(source, bySource), ...bent(target, byTarget)]
}

/** Light over white that a ramp of veiling glare has where uneven light of as much is 1. */
const glareShare = 0.15

/**
 * Light that is uneven over the chart, and veiling glare that lies more on one side than on the other.
 *
 * @param places of the samples in the grid, −1…1 across and down.
 */
export function unevenColumns(
  { bySource, byTarget }: ResidualSlopes,
  { source, target }: Samples,
  places: readonly (readonly [number, number])[],
): Columns {
  const surfaces = [
    ([u]: readonly [number, number]) => u,
    ([, v]: readonly [number, number]) => v,
    ([u, v]: readonly [number, number]) => 0.5 * u * v,
    ([u]: readonly [number, number]) => 0.5 * (u * u - 0.5),
    ([, v]: readonly [number, number]) => 0.5 * (v * v - 0.5),
  ]
  const sourceWhite = [0, 1, 2].map((c) => topOfChannel(source, c))
  const targetWhite = [0, 1, 2].map((c) => topOfChannel(target, c))
  return surfaces.flatMap((surface) => {
    const at = places.map(surface)
    return [
      answer(
        bySource,
        source.map((light, i) => light * at[Math.floor(i / 3)]!),
      ),
      answer(
        bySource,
        source.map((_, i) => glareShare * sourceWhite[i % 3]! * at[Math.floor(i / 3)]!),
      ),
      answer(
        byTarget,
        target.map((_, i) => glareShare * targetWhite[i % 3]! * at[Math.floor(i / 3)]!),
      ),
    ]
  })
}

/** Patches from this share of a channel's brightest reading on may have clipped without anybody saying so. */
export const nearTop = 0.8

/** Readings that are off in one channel: where it is near its top, or where a share of the pixels clipped. */
export function clippingColumns(
  { bySource, byTarget }: ResidualSlopes,
  { source, target, count }: Samples,
  clipped: readonly number[],
): Columns {
  const columns: Float64Array[] = []
  for (const { light, slopes, own } of [
    { light: source, slopes: bySource, own: true },
    { light: target, slopes: byTarget, own: false },
  ]) {
    for (let c = 0; c < 3; c++) {
      const top = topOfChannel(light, c)
      const oneTop = sharesTop(light, c)
      const mayClip = own || oneTop
      // Where patches end at one level, only these can have clipped.
      const from = (oneTop ? 1 - oneLevel : nearTop) * top
      for (let p = 0; p < count; p++) {
        const flagged = own && clipped[p]! > 0
        if (!flagged && !(mayClip && light[3 * p + c]! >= from)) continue
        const column = new Float64Array(light.length)
        for (let i = 3 * p; i < 3 * p + 3; i++) column[i] = slopes[3 * i + c]! * light[3 * p + c]!
        columns.push(column)
      }
    }
  }
  return columns
}

export function topOfChannel(light: Float64Array, channel: number): number {
  let top = 0
  for (let i = channel; i < light.length; i += 3) top = Math.max(top, light[i]!)
  return top
}

/** Patches that clip end at one level: within this share of it. */
const oneLevel = 0.02

/**
 * Do two patches or more share the top of a channel? A patch that is too bright in the source is one that is too dark
 * in the target: of the target, clipping is believed only where several patches show it.
 */
export function sharesTop(light: Float64Array, channel: number): boolean {
  const least = (1 - oneLevel) * topOfChannel(light, channel)
  let count = 0
  for (let i = channel; i < light.length; i += 3) if (light[i]! >= least) count++
  return count > 1
}

/**
 * What source and target see differently: the square root of the covariance of a channel of the prior, in each channel
 * of the target. What the source's channels explain of it, the fit has taken. `undefined` where spectra are not known.
 */
export function spectralColumns(
  { byTarget }: ResidualSlopes,
  samples: Samples,
  prior: SensorPrior,
): Columns | undefined {
  const { count, reflectances, target } = samples
  if (reflectances === undefined) return undefined
  const level =
    target.reduce((sum, value) => sum + value, 0) /
    3 /
    reflectances.reduce((sum, reflectance) => sum + meanReflectance(reflectance), 0)
  const covariance = readingCovariance(prior, reflectances, reflectances)
  return roots(covariance, count).flatMap((root) => {
    const change = target.map((_, i) => level * root[Math.floor(i / 3)]!)
    return [0, 1, 2].map((c) => answerOf(byTarget, change, c))
  })
}

/** Columns whose products add up to a covariance, largest first, until what is left is nothing. */
function roots(covariance: Float64Array, n: number): Float64Array[] {
  const left = Float64Array.from(covariance)
  const found: Float64Array[] = []
  const first = Math.max(...Array.from({ length: n }, (_, i) => left[i * n + i]!))
  for (let round = 0; round < Math.min(n, 14); round++) {
    let pivot = 0
    for (let i = 1; i < n; i++) if (left[i * n + i]! > left[pivot * n + pivot]!) pivot = i
    const size = left[pivot * n + pivot]!
    if (!(size > 1e-7 * first)) break
    const root = Float64Array.from({ length: n }, (_, i) => left[i * n + pivot]! / Math.sqrt(size))
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) left[i * n + j]! -= root[i]! * root[j]!
    found.push(root)
  }
  return found
}

/** Each residual of these patches for itself, of `n` residuals. */
export function unitColumns(n: number, patches: readonly number[]): Columns {
  return patches.flatMap((p) =>
    [0, 1, 2].map((c) => {
      const column = new Float64Array(n)
      column[3 * p + c] = 1
      return column
    }),
  )
}

/** Where spectra are not known: each patch for itself, by its chroma; 1 at a strength of 0.1. */
export function chromaColumns({ samples, targetLab }: MatchProblem): Columns {
  const lab = targetLab()
  return Array.from({ length: samples.count }, (_, p) => {
    const size = 3 + 10 * Math.min(hypot(lab[3 * p + 1]!, lab[3 * p + 2]!) / 40, 1)
    return [0, 1, 2].map((c) => {
      const column = new Float64Array(3 * samples.count)
      column[3 * p + c] = size
      return column
    })
  }).flat()
}
