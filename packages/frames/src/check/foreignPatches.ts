import {
  apply3,
  type Chart,
  colourSurprise,
  identity3,
  isGrid,
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
import { missingEdges, type PatchEdges } from './missingEdges.ts'
import { patchStructure } from './patchStructure.ts'
import { coreShare, robustFit } from './robustFit.ts'
import { type Unevenness, unevenPatches } from './unevenPatches.ts'
import { withoutTraps } from './withoutTraps.ts'

/** How far a patch is from what belongs to the chart. */
export interface PatchFit {
  readonly patch: string
  /** Distance of its colour from what the others lead to expect, in standard errors. */
  readonly colour: number
  /** The same as a share of the light of a white. */
  readonly off: number
  /** What is uneven within it: see `Unevenness`. */
  readonly scatter: number
  readonly rough: number
  readonly texture: number
  readonly slope: number
  readonly steep: number
  /** Sides along which the board should show, and those of them along which it does not. */
  readonly edges: PatchEdges
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
 * Set on rendered scenes 3001…3057, covered by eight kinds of things and clean; judged on others, and on kinds of covers that they
 * had no part in (`test/gallery/covers/coveredPatches.ts`).
 */
const foreignLimits = {
  /** Standard errors that a colour is off, with the camera's curve and without. */
  colour: 4.5,
  colourUnknown: 5.6,
  /** Where the patch is even and the board shows all about it, this many times that: nothing else speaks for a cover. */
  undisturbed: 1.6,
  /** The share of it that is enough beside a side along which the board does not show, and beside a little unevenness. */
  besideEdge: 0.44,
  besideUneven: 0.58,
  /** Sides along which the board does not show that are enough by themselves. */
  edges: 2,
  /** Scatter over the usual, and over the range. */
  scatter: 1.55,
  rough: 0.015,
  /** Of regions, whose neighbours blur into them: set on scenes 35001 to 35014 with `buoy47`. */
  regionScatter: 2.2,
  /** The same for a texture. */
  texture: 8,
  textured: 0.1,
  /** A slope over the usual one, and over the range. */
  steep: 5,
  slope: 0.06,
  /** Where some pixels clip, what clips is even and what does not is uneven: more is asked. */
  clipping: { share: 0.001, scatter: 1.6, rough: 0.06, steep: 6, slope: 0.15 },
  /** A little unevenness. */
  little: { scatter: 1.3, rough: 0.02, steep: 3 },
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
 * and lights are like and what the other patches say (`colourSurprise`), by what is uneven within it (`unevenPatches`), and by
 * whether the board shows about it (`missingEdges`). Which patches speak for
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
  const codes = areas.filter((_, k) => clean[k]).map(({ rgb }) => rgb[1])
  const codeRange = Math.max(Math.max(...codes) - Math.min(...codes), 1e-3)
  const uneven =
    frame &&
    unevenPatches(
      areas.map((area) => patchStructure(frame, range, area, isGrid(chart))),
      codeRange,
    )
  const edges = frame && isGrid(chart) ? missingEdges(frame, range, areas, chart) : undefined
  return areas.map(({ patch, clipped }, k): PatchFit => {
    const judged = {
      patch,
      colour: seen.errors[k]!,
      off: seen.off[k]!,
      ...(uneven?.[k] ?? noUnevenness),
      edges: edges?.[k] ?? noEdges,
    }
    const limit = transfer === undefined ? foreignLimits.colourUnknown : foreignLimits.colour
    return {
      ...judged,
      foreign: isForeign(judged, limit, clipped > foreignLimits.clipping.share, isGrid(chart)),
    }
  })
}

const noUnevenness: Unevenness = { scatter: 0, rough: 0, texture: 0, slope: 0, steep: 0 }
const noEdges: PatchEdges = { shown: 0, missing: 0 }

function isForeign(one: Omit<PatchFit, 'foreign'>, limit: number, clips: boolean, inGrid: boolean): boolean {
  const { undisturbed, besideEdge, besideUneven, edges, clipping, little, regionScatter, ...plain } =
    foreignLimits
  const { scatter: usual, rough, steep, slope } = clips ? clipping : plain
  const scatter = inGrid ? usual : regionScatter
  if (one.edges.missing >= edges) return true
  if (one.scatter > scatter && one.rough > rough) return true
  if (one.steep > steep && one.slope > slope) return true
  // Noise is even where it clips, and stronger where it does not.
  if (!clips && one.texture > plain.texture && one.rough > plain.textured) return true
  const colour = one.colour / limit
  if (one.edges.missing > 0) return colour > besideEdge
  const littleUneven =
    (one.scatter > little.scatter && one.rough > little.rough) ||
    (one.steep > little.steep && one.slope > plain.slope)
  if (littleUneven) return colour > besideUneven
  return colour > (one.edges.shown > 2 ? undisturbed : 1)
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
