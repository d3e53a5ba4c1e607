import { apply3, type Chart, identity3, type Mat3, seededRandom } from '@isochip/core'
import { referenceColours } from '../find/place/referenceColours.ts'
import { backwards, factorNormal, forwards } from '../geometry/solveNormal.ts'
import { orderStatistic } from '../sample/orderStatistic.ts'
import type { SampledArea } from '../sample/sampleChart.ts'

/** How far a patch is from what belongs to the chart. */
export interface PatchFit {
  readonly patch: string
  /** Distance of its colour from what the others lead to expect, in spreads of theirs; `undefined` where it clips. */
  readonly colour: number | undefined
  /** That distance in shares of the range from black to white. */
  readonly off: number
  /** Scatter within it over what is usual on this chart, and over the range. */
  readonly scatter: number
  readonly rough: number
  /** Pixels left out of it as foreign, 0…1. */
  readonly rejected: number
  /** It does not belong: something lies over it. */
  readonly foreign: boolean
}

/*
 * Set on rendered charts, covered and clean, of scenes 3001 and on; judged on scenes 5001 and on
 * (`test/gallery/coveredPatches.ts`).
 */
const foreignLimits = {
  /** A colour is off by so many spreads and by this share of the range: far off, or little but surely. */
  far: { colour: 6.5, off: 0.08 },
  sure: { colour: 9, off: 0.045 },
  /** Scatter over the usual, and over the range. */
  scatter: 4,
  rough: 0.03,
  /** Pixels left out as foreign to the rest of the patch. */
  rejected: 0.2,
  /** Usual scatter over the range from which on it tells nothing. */
  noise: 0.04,
  /** Fewest patches that tell of the others. */
  fewest: 12,
} as const

/** Tone curves of a camera: the power of its codes, and of the chart's light that they are linear in. */
const curves = [
  [1, 0.5],
  [1, 0.3],
  [1, 0.12],
  [0.45, 0.45],
] as const

/** What a camera's channels see of BT.709's: as such, or mixed as sensors do, which leaves no channel of a cyan at nothing. */
const mixtures: readonly Mat3[] = [
  identity3,
  [
    [0.75, 0.2, 0.05],
    [0.1, 0.8, 0.1],
    [0.03, 0.17, 0.8],
  ],
]

/** Fits whose spread is within this factor of the best are as good: a patch is off only where it is off by all. */
const asGood = 1.4

/** Share of the patches that a first fit goes by: two fifths may be covered. */
const core = 0.6
const trials = 60

/**
 * Which patches show something else than the chart: a hand, a leaf, a label. Each is judged by its colour, which is to be
 * an affine change of the reference values with a bend, uneven light aside, as most others have it (least trimmed squares:
 * P. J. Rousseeuw, Least median of squares regression, Journal of the American Statistical Association 79, 1984), and by
 * the scatter within it.
 *
 * @returns nothing for a chart without reference values, or with fewer than a dozen patches that do not clip
 */
export function foreignPatches(areas: readonly SampledArea[], chart: Chart): readonly PatchFit[] {
  const colours = referenceColours(chart)
  const clean = areas.map((area) => area.clipped <= 0.02)
  if (colours === undefined || clean.filter((is) => is).length < foreignLimits.fewest) return []
  const index = new Map(chart.patches.map((patch, k) => [patch.name, k]))
  const reference = areas.map(({ patch }) => colours[index.get(patch)!]!)
  const scatters = areas.map(({ sd }) => Math.hypot(...sd) / Math.sqrt(3))
  const fits = mixtures.flatMap((mixture) =>
    curves.flatMap(
      ([power, bend]) =>
        robustFit(
          areas.map(({ rgb }) => rgb.map((code) => Math.max(code, 0) ** power)),
          reference.map((rgb) => apply3(mixture, rgb).map((light) => (light + 0.004) ** bend)),
          areas.map(({ centre }) => centre),
          clean,
        ) ?? [],
    ),
  )
  if (fits.length === 0) return []
  const least = Math.min(...fits.map(({ spread, range }) => spread / range))
  const good = fits.filter(({ spread, range }) => spread / range <= asGood * least)
  const codes = areas.filter((_, k) => clean[k]).map(({ rgb }) => rgb[1])
  const codeRange = Math.max(...codes) - Math.min(...codes)
  const usual = Math.max(median(scatters), 0.001)
  return areas.map(({ patch, rejected }, k): PatchFit => {
    const off = Math.min(...good.map(({ residual, range }) => residual[k]! / range))
    const colour = clean[k]
      ? Math.min(...good.map(({ residual, spread }) => residual[k]! / spread))
      : undefined
    const scatter = scatters[k]! / usual
    const rough = scatters[k]! / codeRange
    const limits = foreignLimits
    const coloured = (least: { readonly colour: number; readonly off: number }) =>
      colour !== undefined && colour > least.colour && off > least.off
    // What clips is even there, and noise that clips looks like dirt: of neither can the scatter tell.
    const tells = clean[k] === true && usual < limits.noise * codeRange
    const foreign =
      coloured(limits.far) ||
      coloured(limits.sure) ||
      (tells && ((scatter > limits.scatter && rough > limits.rough) || rejected > limits.rejected))
    return { patch, colour, off, scatter, rough, rejected, foreign }
  })
}

const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!

interface ColourFit {
  /** Of every patch, left out of the fit itself: root mean square of the channels. */
  readonly residual: readonly number[]
  /** The same as it is to be expected. */
  readonly spread: number
  /** From the darkest to the lightest of what the fit gives. */
  readonly range: number
}

type Rows = readonly (readonly number[])[]

function robustFit(
  values: Rows,
  tones: Rows,
  centres: Rows,
  clean: readonly boolean[],
): ColourFit | undefined {
  const n = values.length
  const mean = [0, 1].map((axis) => centres.reduce((sum, at) => sum + at[axis]!, 0) / n)
  const reach = Math.max(...centres.map((at) => Math.hypot(at[0]! - mean[0]!, at[1]! - mean[1]!)), 1e-9)
  const plain = tones.map(([r, g, b]) => {
    const lightness = (r! + g! + b!) / 3
    return [1, r!, g!, b!, lightness * lightness]
  })
  const lit = plain.map((row, k) => {
    const lightness = (row[1]! + row[2]! + row[3]!) / 3
    const along = [0, 1].map((axis) => (lightness * (centres[k]![axis]! - mean[axis]!)) / reach)
    return [...row, ...along]
  })
  const judged = [...clean.keys()].filter((k) => clean[k])
  const held = Math.ceil(core * judged.length)
  const random = seededRandom(1)
  let best: { readonly cost: number; readonly keep: readonly number[] } | undefined
  const nearest = ({ residual }: Fit, count: number) => {
    const last = orderStatistic(
      Float64Array.from(judged, (k) => residual[k]!),
      count - 1,
    )
    return judged.filter((k) => residual[k]! <= last).slice(0, count)
  }
  for (let trial = 0; trial < trials; trial++) {
    const pool = [...judged]
    const some = Array.from({ length: 7 }, () => pool.splice(Math.floor(random() * pool.length), 1)[0]!)
    let keep: readonly number[] = some
    let cost = Number.POSITIVE_INFINITY
    for (let step = 0; step < 3; step++) {
      const fit = leastSquaresOn(plain, values, keep)
      if (fit === undefined) break
      keep = nearest(fit, held)
      cost = keep.reduce((sum, k) => sum + fit.residual[k]! ** 2, 0)
    }
    if (!(best !== undefined && best.cost <= cost)) best = { cost, keep }
  }
  if (best === undefined || !Number.isFinite(best.cost)) return undefined
  // From the core outwards: what lies within three spreads comes in, and the light's fall over the chart is fitted too.
  let { keep } = best
  let fit: Fit | undefined
  let spread = 0
  for (let round = 0; round < 5; round++) {
    fit = leastSquaresOn(keep.length >= 12 ? lit : plain, values, keep)
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
  readonly residual: readonly number[]
}

/** @param keep rows that are fitted; their residuals are those that they have when they are left out */
function leastSquaresOn(rows: Rows, values: Rows, keep: readonly number[]): Fit | undefined {
  const width = rows[0]!.length
  const factor = new Float64Array(width * width)
  const solutions = [0, 1, 2].map(() => new Float64Array(width))
  for (const k of keep) {
    const [row, value] = [rows[k]!, values[k]!]
    for (let i = 0; i < width; i++) {
      for (let j = 0; j <= i; j++) factor[i * width + j]! += row[i]! * row[j]!
      for (let c = 0; c < 3; c++) solutions[c]![i]! += row[i]! * value[c]!
    }
  }
  for (let i = 0; i < width; i++) factor[i * width + i]! += 1e-5 * keep.length
  if (!factorNormal(factor, width)) return undefined
  for (const right of solutions) {
    forwards(factor, right)
    backwards(factor, right)
  }
  const fitted = new Set(keep)
  const through = new Float64Array(width)
  const residual = rows.map((row, k) => {
    let square = 0
    for (let c = 0; c < 3; c++) {
      let off = values[k]![c]!
      for (let i = 0; i < width; i++) off -= row[i]! * solutions[c]![i]!
      square += off * off
    }
    through.set(row)
    forwards(factor, through)
    let leverage = 0
    for (const one of through) leverage += one * one
    // Left out, a row's residual is e/(1 − h); its own variance then is σ²/(1 − h), and 1 + h for one that was never in.
    const scale = fitted.has(k) ? Math.sqrt(Math.max(1 - leverage, 0.05)) : Math.sqrt(1 + leverage)
    return Math.sqrt(square / 3) / scale
  })
  return { residual }
}
