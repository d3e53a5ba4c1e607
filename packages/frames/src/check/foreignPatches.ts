import {
  apply3,
  type Chart,
  colourSurprise,
  identity3,
  ln,
  type Mat3,
  pow,
  type Range,
  resolveTransfer,
  type TransferSpec,
  type Vec3,
} from '@isochip/core'
import { referenceColours } from '../find/place/referenceColours.ts'
import type { Frame } from '../frame/frame.ts'
import type { SampledArea } from '../sample/sampleChart.ts'
import { patchStructure } from './patchStructure.ts'
import { coreShare, robustFit } from './robustFit.ts'
import { withoutTraps } from './withoutTraps.ts'

/** How far a patch is from what belongs to the chart. */
export interface PatchFit {
  readonly patch: string
  /** Distance of its colour from what the others lead to expect, in standard errors. */
  readonly colour: number
  /** The same as a share of the light of a white. */
  readonly off: number
  /** Unevenness within it over what is usual on this chart, and over the range from black to white. */
  readonly scatter: number
  readonly rough: number
  /** Change of its level from one side to the other, over that range. */
  readonly slope: number
  /** It does not belong: something lies over it. */
  readonly foreign: boolean
}

/** What is known beside the sampled areas. */
export interface ForeignContext {
  /** The frame, for what is uneven within a patch; without it only colours are judged. */
  readonly frame?: Frame
  readonly range?: Range
  /** The camera's curve. Without it the likeliest of a few is taken, and less is told. */
  readonly transfer?: TransferSpec
}

/*
 * Set on rendered scenes 3001…3080 and 3201…3260, covered and clean; judged on scenes 5001 and on, and on kinds of covers that
 * they had no part in (`test/gallery/coveredPatches.ts`).
 */
const foreignLimits = {
  /** Standard errors that a colour is off, with the camera's curve and without. */
  colour: 4.5,
  colourUnknown: 5.6,
  /** Unevenness over the usual, and over the range. */
  scatter: 4.5,
  rough: 0.02,
  /** A slope within one patch, over the range, and over the usual one: noise slopes, too. */
  slope: 0.09,
  overUsual: 3,
  /** Where some pixels clip, what clips is even and what does not is uneven: more is asked. */
  clipping: { share: 0.001, scatter: 3, rough: 0.12, slope: 0.25 },
  /** Fewest patches that tell of the others. */
  fewest: 12,
} as const

/** Curves that are tried where the camera's is not known: display-like, a power, light itself, and logarithmic ones. */
const curvesTried: readonly TransferSpec[] = [
  'bt709',
  'srgb',
  'hlg',
  'linear',
  'acescct',
  { power: 2.4 },
  {
    log: {
      base: 2,
      logSideSlope: 0.075,
      logSideOffset: 0.58,
      linSideSlope: 1,
      linSideOffset: 0.008,
      linSideBreak: 0.004,
    },
  },
]

/** Codes at the bottom, where cameras cut off what a matrix takes below nothing. */
const bottom = 0.004

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

/**
 * Which patches show something else than the chart: a hand, a leaf, a label. Each is judged by its colour, after what sensors
 * and lights are like and what the other patches say (`colourSurprise`), and by what is uneven within it. Which patches speak for
 * the chart to begin with, a robust fit of the reference values tells (least trimmed squares: P. J. Rousseeuw, Least median of
 * squares regression, Journal of the American Statistical Association 79, 1984).
 *
 * Of a light trap nothing is told: it has no colour.
 *
 * @returns nothing for a chart without reference values, or with fewer than a dozen patches that do not clip
 */
export function foreignPatches(
  areas: readonly SampledArea[],
  chart: Chart,
  { frame, range = 'full', transfer }: ForeignContext = {},
): readonly PatchFit[] {
  const coloured = withoutTraps(chart)
  if (coloured !== chart) {
    const traps = new Set(chart.patches.flatMap(({ name, role }) => (role === 'true-black' ? [name] : [])))
    return foreignPatches(
      areas.filter(({ patch }) => !traps.has(patch)),
      coloured,
      { range, ...(frame === undefined ? {} : { frame }), ...(transfer === undefined ? {} : { transfer }) },
    )
  }
  const colours = referenceColours(chart)
  if (colours === undefined || areas.length !== chart.patches.length) return []
  const clips = areas.map(clippedEnds)
  const clean = clips.map((ends) => ends.every((end) => end === 0))
  if (clean.filter((is) => is).length < foreignLimits.fewest) return []
  const core = likelyCore(areas, colours, clean)
  if (core === undefined) return []
  const tried = (transfer === undefined ? curvesTried : [transfer]).flatMap((spec) => {
    const seen = surpriseBy(spec, areas, chart, clips, core)
    return seen === undefined ? [] : [seen]
  })
  if (tried.length === 0) return []
  const seen = tried.reduce((a, b) => (b.score > a.score ? b : a))
  const structure = frame === undefined ? undefined : areas.map((area) => patchStructure(frame, range, area))
  const usual = structure === undefined ? 1 : Math.max(median(structure.map(({ rough }) => rough)), 0.001)
  const usualSlope = structure === undefined ? 0 : median(structure.map((one) => one.slope))
  const codes = areas.filter((_, k) => clean[k]).map(({ rgb }) => rgb[1])
  const codeRange = Math.max(Math.max(...codes) - Math.min(...codes), 1e-3)
  const limits = foreignLimits
  return areas.map(({ patch, clipped }, k): PatchFit => {
    const colour = seen.errors[k]!
    const scatter = (structure?.[k]?.rough ?? 0) / usual
    const rough = (structure?.[k]?.rough ?? 0) / codeRange
    const slope = (structure?.[k]?.slope ?? 0) / codeRange
    const uneven =
      clipped > limits.clipping.share
        ? rough > limits.clipping.rough && slope > limits.clipping.slope && scatter > limits.clipping.scatter
        : (scatter > limits.scatter && rough > limits.rough) ||
          slope > Math.max(limits.slope, (limits.overUsual * usualSlope) / codeRange)
    const foreign = colour > (transfer === undefined ? limits.colourUnknown : limits.colour) || uneven
    return { patch, colour, off: seen.off[k]!, scatter, rough, slope, foreign }
  })
}

/** By channel the end of the range at which an area clips, as `colourSurprise` takes it. */
function clippedEnds({ rgb, clipped, clippedIn }: SampledArea): [number, number, number] {
  const end = (c: 0 | 1 | 2) => {
    if (rgb[c] <= bottom) return -1
    if (clipped <= 0.02) return 0
    if (clippedIn === undefined) return rgb[c] > 0.5 ? 1 : -1
    return clippedIn.high[c] > 0.005 ? 1 : clippedIn.low[c] > 0.005 ? -1 : 0
  }
  return [end(0), end(1), end(2)]
}

/** The patches that agree best with each other under the reference values, `core` of those that do not clip. */
function likelyCore(
  areas: readonly SampledArea[],
  colours: readonly Vec3[],
  clean: readonly boolean[],
): readonly number[] | undefined {
  const fits = mixtures.flatMap((mixture) =>
    curves.flatMap(
      ([power, bend]) =>
        robustFit(
          areas.map(({ rgb }) => rgb.map((code) => pow(Math.max(code, 0), power))),
          colours.map((rgb) => apply3(mixture, rgb).map((light) => pow(light + 0.004, bend))),
          areas.map(({ centre }) => centre),
          clean,
        ) ?? [],
    ),
  )
  if (fits.length === 0) return undefined
  const least = Math.min(...fits.map(({ spread, range }) => spread / range))
  const good = fits.filter(({ spread, range }) => spread / range <= asGood * least)
  const off = areas.map((_, k) => Math.min(...good.map(({ residual, spread }) => residual[k]! / spread)))
  const usable = [...clean.keys()].filter((k) => clean[k])
  return usable.sort((a, b) => off[a]! - off[b]!).slice(0, Math.ceil(coreShare * usable.length))
}

/** How surprising the patches are if this is the curve, and how likely the codes of the core are then. */
function surpriseBy(
  spec: TransferSpec,
  areas: readonly SampledArea[],
  chart: Chart,
  clips: readonly [number, number, number][],
  core: readonly number[],
) {
  const transfer = resolveTransfer(spec)
  const step = 0.0005
  const three = (of: (c: 0 | 1 | 2) => number): Vec3 => [of(0), of(1), of(2)]
  const slopes = areas.map(({ rgb }) =>
    three((c) =>
      Math.abs((transfer.decode(rgb[c] + step, c) - transfer.decode(rgb[c] - step, c)) / (2 * step)),
    ),
  )
  const seen = colourSurprise({
    chart,
    light: areas.map(({ rgb }) => three((c) => transfer.decode(rgb[c], c))),
    error: areas.map(({ standardError }, k) =>
      three((c) => slopes[k]![c] * Math.max(standardError[c], 2e-4)),
    ),
    clips,
    core,
  })
  if (seen === undefined) return undefined
  // Likelihoods of light become comparable as those of code values.
  const density = core.reduce(
    (sum, k) => sum + slopes[k]!.reduce((all, slope) => all + ln(Math.max(slope, 1e-6) / seen.level), 0),
    0,
  )
  return { ...seen, score: seen.likelihood + density }
}

const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!
