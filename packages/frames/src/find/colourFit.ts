import type { Vec3 } from '@isochip/core'
import { solveNormal } from '../geometry/solveNormal.ts'
import type { Veil } from './veilOf.ts'

/** What a cell of a lattice looks like in the working image. */
export interface CellColour {
  readonly rgb: Vec3
  /** Standard deviation within the cell beyond that of its noise, the largest of the channels'. */
  readonly sd: number
  /** Which channels clip. */
  readonly clipped: readonly [boolean, boolean, boolean]
  /** It lies out of the picture: nothing is known of it. */
  readonly missing?: true
  /** What shows at the cell's corners, between the patches; none where it is out of the picture. */
  readonly board?: () => BoardAbout | undefined
  /** Change of lightness over one column and one row of the lattice, as it is within the cell. */
  readonly slope?: readonly [number, number]
}

export interface BoardAbout {
  /** Lightness where the gaps cross. */
  readonly level: number
  /** How far that is from the mean of the four cells that meet there: nothing where patches touch. */
  readonly step: number
}

/** Reference colours bent like the codes of a camera, one set for each kind of encoding. */
export interface ReferenceTones {
  /** n × 3, row by row: R, G, B. */
  readonly tones: Float64Array
  readonly patches: number
  /** What each output goes by: n × 4, row by row. One of `outputs` after the other. */
  readonly designs: readonly Float64Array[]
}

/** Power laws from display-like to nearly logarithmic: the tone that a camera gives is not known when it is sought. */
const bends = [0.5, 0.3, 0.12]

export function referenceTones(colours: readonly Vec3[]): readonly ReferenceTones[] {
  return bends.map((bend) => {
    const tones = Float64Array.from(colours.flat(), (light) => (light + 0.004) ** bend)
    return { tones, patches: colours.length, designs: outputs.map((mix) => designOf(tones, mix)) }
  })
}

/** An output goes by its own counterpart first, and by what the others have more than it. */
function designOf(tones: Float64Array, mix: Vec3): Float64Array {
  const n = tones.length / 3
  const rows = new Float64Array(4 * n)
  for (let k = 0; k < n; k++) {
    const r = tones[3 * k]!
    const g = tones[3 * k + 1]!
    const b = tones[3 * k + 2]!
    const own = mixed(mix, r, g, b)
    const beside = isDifference(mix) ? [(r + g + b) / 3, r + b - 2 * g - own] : others(mix, r, g, b, own)
    rows.set([1, own, ...beside], 4 * k)
  }
  return rows
}

export interface ColourFit {
  /**
   * Share of the cells' variation in tone (mean of the channels) and in the two colour differences that the
   * reference explains, after the best affine change of colour (exposure, white balance, contrast, flare,
   * crosstalk): mean of the three, freed of what as many parameters explain by chance. 1 at best; about 0 for
   * colours that have nothing to do with it.
   */
  readonly explained: number
  /**
   * The same with no cell left out; `explained` leaves out the worst eighth as spoilt by glare or dirt, or, where the
   * rest then fits all the better, the worst two fifths.
   */
  readonly whole: number
}

/** The three channels, then red–green and blue–green. */
const outputs: readonly Vec3[] = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
  [1, -1, 0],
  [0, -1, 1],
]
const channels = [0, 1, 2] as const
const differences = [3, 4] as const
type Output = (typeof channels)[number] | (typeof differences)[number]

/** Of the cells, this share may be spoilt by glare, dirt or a hand and is dropped. */
const spoilt = 0.13

/**
 * A lamp's mirror image may spoil this share of a chart with enough patches. The best cells of a wrong place fit
 * better than all of them, too: what they leave unexplained counts this many times.
 */
const glared = 0.4
const distrust = 3
/**
 * And only where all cells together are explained to this share: a grid of equal cells with a few others in it has
 * best cells for everything.
 */
const trustedWhole = 0.6
const roundsOfTrimming = 4
/** A fit that is as good as this needs no veil to be better. */
const clear = 0.95
/** Colours that have nothing to do with the chart are not looked at twice. */
const hopeless = 0.3

/**
 * Fewest patches that bear a full matrix, and a veil beside it; with fewer, crosstalk is held back by this share of the
 * variation, and a veil would explain whatever the patches do not.
 */
const fullMatrix = 12
const heldBack = 0.05

/**
 * How well a reference explains the colours of cells. A channel that clips says no more than that its level is at
 * least the clipping one, and a colour difference with one clipped channel on which side of its value it is.
 *
 * @param cells one a patch of the reference, in its order
 * @param veilOver light that lies over the cells; asked for when they do not fit without it
 */
export function colourFit(
  cells: readonly CellColour[],
  reference: ReferenceTones,
  veilOver?: () => Veil | undefined,
): ColourFit {
  const seen = seenColours(cells)
  const plain = trimmedFit(seen, reference, undefined)
  const veil = plain.explained > clear || reference.patches < fullMatrix ? undefined : veilOver?.()
  const veiled = veil === undefined ? plain : trimmedFit(seen, reference, veil)
  const whole = Math.max(plain.whole, veiled.whole)
  const explained = Math.max(plain.explained, veiled.explained)
  return { whole, explained: whole < trustedWhole ? explained : Math.max(explained, plain.best) }
}

/** The cells' colours, as the many fits to them read them. */
interface SeenColours {
  /** Red, green, blue of one cell after the other. */
  readonly rgb: Float64Array
  /** The channels of each cell that clip, a bit each. */
  readonly clipped: Uint8Array
  readonly missing: Uint8Array
}

function seenColours(cells: readonly CellColour[]): SeenColours {
  const count = cells.length
  const rgb = new Float64Array(3 * count)
  const clipped = new Uint8Array(count)
  const missing = new Uint8Array(count)
  for (let k = 0; k < count; k++) {
    const cell = cells[k]!
    for (const c of channels) {
      rgb[3 * k + c] = cell.rgb[c]
      if (cell.clipped[c]) clipped[k]! |= 1 << c
    }
    if (cell.missing) missing[k] = 1
  }
  return { rgb, clipped, missing }
}

function trimmedFit(
  cells: SeenColours,
  reference: ReferenceTones,
  veil: Veil | undefined,
): ColourFit & { readonly best: number } {
  const n = reference.patches
  const all = kept(cells, veil)
  const first = solve(cells, reference, all, veil)
  const drop = Math.floor(spoilt * n)
  if (drop === 0) return { whole: first.explained, explained: first.explained, best: 0 }
  const trimmed = solve(cells, reference, withoutWorst(first, drop, all), veil)
  const explained = Math.max(first.explained, trimmed.explained)
  const rest = Math.floor(glared * n)
  if (veil !== undefined || n - rest < fullMatrix || explained < hopeless)
    return { whole: first.explained, explained, best: 0 }
  let half = trimmed
  for (let round = 0; round < roundsOfTrimming; round++)
    half = solve(cells, reference, withoutWorst(half, rest, all), veil)
  return { whole: first.explained, explained, best: 1 - distrust * (1 - half.explained) }
}

/** The cells but those with the largest residuals. */
function withoutWorst({ residual }: Solution, count: number, cells: Uint8Array): Uint8Array {
  const keep = cells.slice()
  const ranked = [...keep.keys()].filter((k) => cells[k] === 1).sort((a, b) => residual[b]! - residual[a]!)
  for (const k of ranked.slice(0, count)) keep[k] = 0
  return keep
}

/** `whole` of `colourFit` alone. */
export function explainedByAll(
  cells: readonly CellColour[],
  reference: ReferenceTones,
  veilOver?: () => Veil | undefined,
): number {
  const seen = seenColours(cells)
  const plain = solve(seen, reference, kept(seen, undefined)).explained
  if (plain > clear || reference.patches < fullMatrix) return plain
  const veil = veilOver?.()
  return veil === undefined
    ? plain
    : Math.max(plain, solve(seen, reference, kept(seen, veil), veil).explained)
}

/** 1 for the cells that tell anything. */
function kept({ missing }: SeenColours, veil: Veil | undefined): Uint8Array {
  return missing.map((one, k) => (one === 1 || veil?.lost[k] === 1 ? 0 : 1))
}

interface Solution {
  readonly explained: number
  /** Of every cell, in shares of the outputs' variation. */
  readonly residual: Float64Array
}

function solve(cells: SeenColours, reference: ReferenceTones, keep: Uint8Array, veil?: Veil): Solution {
  const residual = new Float64Array(reference.patches)
  const scores: number[] = []
  let tones = 0
  let judged = 0
  for (const output of channels) {
    const score = solveOutput(cells, reference, keep, output, residual, veil?.level)
    if (score === undefined) continue
    tones += score
    judged++
  }
  if (judged === 0) return { explained: 0, residual }
  scores.push(tones / judged)
  const lightness = spread(reference.tones, keep, grey)
  for (const output of differences) {
    // A chart of greys says nothing about colour differences; what the camera shows there is its noise.
    if (spread(reference.tones, keep, outputs[output]!) < 0.004 * lightness) continue
    const score = solveOutput(cells, reference, keep, output, residual, veil?.level)
    if (score !== undefined) scores.push(score)
  }
  return { explained: scores.reduce((sum, score) => sum + score, 0) / scores.length, residual }
}

const grey: Vec3 = [1 / 3, 1 / 3, 1 / 3]
const isDifference = (mix: Vec3) => mix[0] + mix[1] + mix[2] === 0
const mixed = (mix: Vec3, r: number, g: number, b: number) => mix[0] * r + mix[1] * g + mix[2] * b

/** Variance of an output over the reference's patches. */
function spread(tones: Float64Array, keep: Uint8Array, mix: Vec3): number {
  let sum = 0
  let square = 0
  let count = 0
  for (let k = 0; k < keep.length; k++) {
    if (keep[k] === 0) continue
    const value = mixed(mix, tones[3 * k]!, tones[3 * k + 1]!, tones[3 * k + 2]!)
    sum += value
    square += value * value
    count++
  }
  return count === 0 ? 0 : square / count - (sum / count) ** 2
}

/** What clipping leaves of an output of a cell. */
const known = 0
const atLeast = 1
const atMost = -1
const nothing = 2

function boundOf(clipped: number, mix: Vec3): number {
  let up = false
  let down = false
  for (const c of channels) {
    if ((clipped & (1 << c)) === 0) continue
    if (mix[c] > 0) up = true
    if (mix[c] < 0) down = true
  }
  return up ? (down ? nothing : atLeast) : down ? atMost : known
}

/**
 * Share of one output's variation that the reference explains; adds every cell's part of the rest, of those left out
 * as well, to `residual`.
 *
 * @returns `undefined` when too few cells are left to tell
 */
function solveOutput(
  { rgb, clipped }: SeenColours,
  { tones, patches: n, designs }: ReferenceTones,
  kept: Uint8Array,
  output: Output,
  residual: Float64Array,
  veil: Float64Array | undefined,
): number | undefined {
  const mix = outputs[output]!
  const width = veil === undefined ? 4 : 6
  const bound = new Int8Array(n)
  const keep = new Uint8Array(n)
  const value = new Float64Array(n)
  let used = 0
  let free = 0
  for (let k = 0; k < n; k++) {
    value[k] = mixed(mix, rgb[3 * k]!, rgb[3 * k + 1]!, rgb[3 * k + 2]!)
    bound[k] = clipped[k] === 0 ? known : boundOf(clipped[k]!, mix)
    if (kept[k] === 0 || bound[k] === nothing) continue
    keep[k] = 1
    used++
    if (bound[k] === known) free++
  }
  if (free < Math.max(4, 0.2 * n)) return undefined
  const design = designs[output]!
  const rows = veil === undefined ? design : withVeil(design, veil)
  const ridge = free >= fullMatrix ? 1e-6 * used : heldBack * free * spread(tones, keep, mix)
  const parameters = (free >= fullMatrix ? 4 : 3) + (veil === undefined ? 0 : 2)
  const predicted = new Float64Array(n)
  // Clipped cells take part only while the fit puts them on the wrong side of the level at which they clip.
  const active = new Uint8Array(n)
  for (let k = 0; k < n; k++) if (keep[k] === 1 && bound[k] === known) active[k] = 1
  let right = new Float64Array(width)
  for (let round = 0; round < (free === used ? 1 : 4); round++) {
    const normal = new Float64Array(width * width)
    right = new Float64Array(width)
    for (let k = 0; k < n; k++) {
      if (active[k] === 0) continue
      for (let i = 0; i < width; i++) {
        const x = rows[k * width + i]!
        right[i]! += x * value[k]!
        for (let j = 0; j <= i; j++) normal[width * i + j]! += x * rows[k * width + j]!
      }
    }
    normal[width + 1]! += 1e-6 * used
    for (const i of [2, 3]) normal[width * i + i]! += ridge
    for (let i = 4; i < width; i++) normal[width * i + i]! += 1e-4
    if (!solveNormal(normal, right)) return undefined
    let changed = false
    for (let k = 0; k < n; k++) {
      predicted[k] = 0
      for (let i = 0; i < width; i++) predicted[k]! += rows[k * width + i]! * right[i]!
      if (keep[k] === 0 || bound[k] === known) continue
      const now = predicted[k]! * bound[k]! < value[k]! * bound[k]! ? 1 : 0
      if (now !== active[k]) changed = true
      active[k] = now
    }
    if (!changed) break
  }
  // That many cells clip in one channel makes a colour difference no likelier: it is judged by those that do not.
  const counts = isDifference(mix) ? active : keep
  let counted = 0
  let rest = 0
  for (let k = 0; k < n; k++) {
    counted += counts[k]!
    if (active[k] === 1) rest += (value[k]! - predicted[k]!) ** 2
  }
  const total = variationBeside(value, counts, veil)
  // All cells alike where the chart has colours: nothing is explained.
  if (!(total > 1e-5 * counted)) return 0
  for (let k = 0; k < n; k++) {
    if (keep[k] === 1 ? active[k] === 1 : bound[k] === known)
      residual[k]! += (value[k]! - predicted[k]!) ** 2 / total
  }
  // An output that falls where its counterpart in the reference grows belongs to a negative, not to the chart.
  if (!(right[1]! > 0)) return 0
  return Math.max(
    0,
    1 - ((rest / total) * (counted - (veil === undefined ? 1 : 2))) / Math.max(1, free - parameters),
  )
}

/** A design with two columns more: the veil, and how it dims what is under it. */
function withVeil(design: Float64Array, veil: Float64Array): Float64Array {
  const rows = new Float64Array(6 * veil.length)
  for (let k = 0; k < veil.length; k++) {
    for (let i = 0; i < 4; i++) rows[6 * k + i] = design[4 * k + i]!
    rows[6 * k + 4] = veil[k]!
    rows[6 * k + 5] = veil[k]! * design[4 * k + 1]!
  }
  return rows
}

/** Sum of squares about the mean, or about what a veil alone makes of it: that is no merit of the chart's. */
function variationBeside(value: Float64Array, counts: Uint8Array, veil: Float64Array | undefined): number {
  let n = 0
  let mean = 0
  let middle = 0
  for (let k = 0; k < value.length; k++) {
    if (counts[k] === 0) continue
    n++
    mean += value[k]!
    middle += veil?.[k] ?? 0
  }
  mean /= n
  middle /= n
  let square = 0
  let both = 0
  let spread = 0
  for (let k = 0; k < value.length; k++) {
    if (counts[k] === 0) continue
    const d = value[k]! - mean
    const v = (veil?.[k] ?? middle) - middle
    square += d * d
    both += d * v
    spread += v * v
  }
  return square - (spread > 0 ? both ** 2 / spread : 0)
}

/** The two other channels, less the own one. */
function others(mix: Vec3, r: number, g: number, b: number, own: number): readonly [number, number] {
  if (mix[0] === 1) return [g - own, b - own]
  return mix[1] === 1 ? [r - own, b - own] : [r - own, g - own]
}
