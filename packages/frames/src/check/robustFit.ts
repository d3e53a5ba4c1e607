import { hypot, seededRandom } from '@isochip/core'
import { backwards, factorNormal, forwards } from '../geometry/solveNormal.ts'
import { orderStatistic } from '../sample/orderStatistic.ts'

/** Share of the patches that a first fit goes by: two fifths may be covered. */
export const coreShare = 0.6
const trials = 60
/** Terms of a fit: a constant, three tones, the square of their mean; and the light's fall over the chart. */
const plainWidth = 5
const litWidth = plainWidth + 2

interface ColourFit {
  /** Of every patch, left out of the fit itself: root mean square of the channels. */
  readonly residual: Float64Array
  /** The same as it is to be expected. */
  readonly spread: number
  /** From the darkest to the lightest of what the fit gives. */
  readonly range: number
}

type Rows = readonly (readonly number[])[]

/** Least trimmed squares of values on tones, and from that core outwards with the light's fall over the chart. */
export function robustFit(
  values: Rows,
  tones: Rows,
  centres: Rows,
  clean: readonly boolean[],
): ColourFit | undefined {
  const n = values.length
  const mean = [0, 1].map((axis) => centres.reduce((sum, at) => sum + at[axis]!, 0) / n)
  const reach = Math.max(...centres.map((at) => hypot(at[0]! - mean[0]!, at[1]! - mean[1]!)), 1e-9)
  // Row by row in one array each: fits to seven patches are many, and lists of lists were most of their time.
  const plain = new Float64Array(n * plainWidth)
  const lit = new Float64Array(n * litWidth)
  const colours = new Float64Array(3 * n)
  for (let k = 0; k < n; k++) {
    const [r, g, b] = [tones[k]![0]!, tones[k]![1]!, tones[k]![2]!]
    const lightness = (r + g + b) / 3
    const row = [1, r, g, b, lightness * lightness]
    plain.set(row, k * plainWidth)
    lit.set(row, k * litWidth)
    for (let axis = 0; axis < 2; axis++) {
      lit[k * litWidth + plainWidth + axis] = (lightness * (centres[k]![axis]! - mean[axis]!)) / reach
    }
    colours.set(values[k]!, 3 * k)
  }
  const judged = [...clean.keys()].filter((k) => clean[k])
  const held = Math.ceil(coreShare * judged.length)
  const random = seededRandom(1)
  let best: { readonly cost: number; readonly keep: readonly number[] } | undefined
  const off = new Float64Array(judged.length)
  const nearest = ({ residual }: Fit, count: number) => {
    for (let j = 0; j < judged.length; j++) off[j] = residual[judged[j]!]!
    const last = orderStatistic(off, count - 1)
    return judged.filter((k) => residual[k]! <= last).slice(0, count)
  }
  for (let trial = 0; trial < trials; trial++) {
    const pool = [...judged]
    const some = Array.from({ length: 7 }, () => pool.splice(Math.floor(random() * pool.length), 1)[0]!)
    let keep: readonly number[] = some
    let cost = Number.POSITIVE_INFINITY
    for (let step = 0; step < 3; step++) {
      const fit = leastSquaresOn(plain, plainWidth, colours, keep)
      if (fit === undefined) break
      const next = nearest(fit, held)
      cost = next.reduce((sum, k) => sum + fit.residual[k]! ** 2, 0)
      // Once the same patches are nearest the fit stays what it is.
      const settled = next.length === keep.length && next.every((k, i) => k === keep[i])
      keep = next
      if (settled) break
    }
    if (!(best !== undefined && best.cost <= cost)) best = { cost, keep }
  }
  if (best === undefined || !Number.isFinite(best.cost)) return undefined
  // From the core outwards: what lies within three spreads comes in, and the light's fall over the chart is fitted too.
  let { keep } = best
  let fit: Fit | undefined
  let spread = 0
  for (let round = 0; round < 5; round++) {
    const wide = keep.length >= 12
    fit = leastSquaresOn(wide ? lit : plain, wide ? litWidth : plainWidth, colours, keep)
    if (fit === undefined) return undefined
    const inner = [...keep].map((k) => fit!.residual[k]!).sort((a, b) => a - b)
    // Of the residuals of three channels together the median is 0.89 of the root mean square (χ² of 3 degrees).
    spread = Math.max(inner[inner.length >> 1]! / 0.89 / Math.sqrt(1 - Math.min(0.7, 6 / keep.length)), 1e-4)
    const next = judged.filter((k) => fit!.residual[k]! < 3 * spread)
    keep = next.length >= held ? next : nearest(fit, held)
  }
  const level = values.map((rgb) => (rgb[0]! + rgb[1]! + rgb[2]!) / 3)
  const sorted = keep.map((k) => level[k]!).sort((a, b) => a - b)
  return { residual: fit!.residual, spread, range: Math.max(sorted.at(-1)! - sorted[0]!, 1e-3) }
}

interface Fit {
  readonly residual: Float64Array
}

/**
 * @param rows `width` numbers each. @param values three numbers each.
 * @param keep rows that are fitted; their residuals are those that they have when they are left out
 */
function leastSquaresOn(
  rows: Float64Array,
  width: number,
  values: Float64Array,
  keep: readonly number[],
): Fit | undefined {
  const count = values.length / 3
  const factor = new Float64Array(width * width)
  const red = new Float64Array(width)
  const green = new Float64Array(width)
  const blue = new Float64Array(width)
  const fitted = new Uint8Array(count)
  for (let q = 0; q < keep.length; q++) {
    const k = keep[q]!
    const row = k * width
    const r = values[3 * k]!
    const g = values[3 * k + 1]!
    const b = values[3 * k + 2]!
    fitted[k] = 1
    for (let i = 0; i < width; i++) {
      const at = rows[row + i]!
      for (let j = 0; j <= i; j++) factor[i * width + j]! += at * rows[row + j]!
      red[i]! += at * r
      green[i]! += at * g
      blue[i]! += at * b
    }
  }
  for (let i = 0; i < width; i++) factor[i * width + i]! += 1e-5 * keep.length
  if (!factorNormal(factor, width)) return undefined
  for (const right of [red, green, blue]) {
    forwards(factor, right)
    backwards(factor, right)
  }
  const through = new Float64Array(width)
  const residual = new Float64Array(count)
  for (let k = 0; k < count; k++) {
    let r = values[3 * k]!
    let g = values[3 * k + 1]!
    let b = values[3 * k + 2]!
    for (let i = 0; i < width; i++) {
      const at = rows[k * width + i]!
      through[i] = at
      r -= at * red[i]!
      g -= at * green[i]!
      b -= at * blue[i]!
    }
    forwards(factor, through)
    let leverage = 0
    for (let i = 0; i < width; i++) leverage += through[i]! * through[i]!
    // Left out, a row's residual is e/(1 − h); its own variance then is σ²/(1 − h), and 1 + h for one that was never in.
    const scale = fitted[k] === 1 ? Math.sqrt(Math.max(1 - leverage, 0.05)) : Math.sqrt(1 + leverage)
    residual[k] = Math.sqrt((r * r + g * g + b * b) / 3) / scale
  }
  return { residual }
}
