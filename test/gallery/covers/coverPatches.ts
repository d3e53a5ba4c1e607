import { isGrid, type Range, type Vec3 } from '@isochip/core'
import { type ChartMap, createFrame, type Frame, type Point, patchAreas } from '@isochip/frames'
import type { ChartTruth } from '@isochip/synthetic'

/** The limits were set with these … */
export const kindsOfSetting = ['hand', 'leaf', 'label', 'shape', 'cloth', 'cable', 'card', 'tape'] as const
/** … and these had no part in it. `photo` is a part of a photograph. */
export const kindsHeldBack = ['fingers', 'plaid', 'paper', 'strap', 'photo'] as const
export type Kind = (typeof kindsOfSetting)[number] | (typeof kindsHeldBack)[number]

/** Reflectances in BT.709 primaries: skins from dark to light, leaves, papers, and anything. */
function colourOf(kind: Kind, random: () => number): Vec3 {
  const mix = (a: Vec3, b: Vec3): Vec3 => {
    const t = random()
    return [0, 1, 2].map((c) => a[c]! + t * (b[c]! - a[c]!)) as unknown as Vec3
  }
  if (kind === 'hand') return mix([0.07, 0.035, 0.02], [0.62, 0.42, 0.32])
  if (kind === 'leaf') return mix([0.02, 0.06, 0.015], [0.18, 0.28, 0.06])
  if (kind === 'label') return random() < 0.6 ? [0.85, 0.85, 0.83] : [0.03, 0.03, 0.03]
  if (kind === 'cable') return random() < 0.7 ? [0.02, 0.02, 0.02] : [0.6, 0.6, 0.6]
  if (kind === 'cloth') return mix([0.5, 0.45, 0.4], [0.3 * random(), 0.3 * random(), 0.3 * random()])
  if (kind === 'tape') return mix([0.05, 0.05, 0.05], [0.5, 0.48, 0.4])
  if (kind === 'fingers') return mix([0.09, 0.05, 0.03], [0.58, 0.4, 0.31])
  if (kind === 'paper') return mix([0.35, 0.33, 0.3], [0.88, 0.88, 0.87])
  if (kind === 'strap') return mix([0.02, 0.02, 0.03], [0.35, 0.2, 0.1])
  return [random() ** 2, random() ** 2, random() ** 2]
}

/** What lies over a point of the frame: shares of the cover's light. */
function textureOf(kind: Kind, u: number, v: number, soft: number): number {
  if (kind === 'hand') return 1 - 0.35 * (u * u + v * v) - 0.06 * Math.sin(9 * u)
  if (kind === 'leaf')
    return Math.abs(u) < 0.03 || Math.abs((v - Math.abs(u)) % 0.25) < 0.02
      ? 1.5
      : 1 + 0.1 * Math.sin(23 * u * v)
  if (kind === 'label' && soft > 0.4) return Math.abs(v % 0.3) < 0.08 && (u * 7) % 1 < 0.7 ? 0.15 : 1
  if (kind === 'cloth')
    return (1 + 0.12 * Math.sin(40 * u) * Math.sin(40 * v)) * (1 + 0.25 * soft * Math.sin(4 * u + 2 * v))
  if (kind === 'cable') return 1 - 0.6 * v * v
  // Printed stripes; and a gloss along the middle.
  if (kind === 'card') return 0.35 + 0.8 * (Math.floor(6 * (u + 1)) % 2)
  // Shaded along their length; checks; folds; a seam.
  if (kind === 'fingers') return 1 - 0.45 * Math.abs(((3 * (v + 1)) % 2) - 1) ** 3
  if (kind === 'plaid')
    return 0.45 + 0.35 * (Math.floor(5 * (u + 1)) % 2) + 0.35 * (Math.floor(4 * (v + 1)) % 2)
  if (kind === 'paper')
    return (
      0.85 + 0.1 * Math.abs(Math.sin(3 * u + 5 * v + 4 * soft)) - 0.12 * Math.abs(Math.sin(4 * u - 2 * v))
    )
  if (kind === 'strap') return Math.abs(Math.abs(v) - 0.75) < 0.06 && (u * 16) % 1 < 0.6 ? 1.8 : 1
  if (kind === 'tape') return 1 + 0.5 * soft * Math.exp(-((v / 0.3) ** 2))
  return 1
}

/** Steps of reflectance of which codes are worked out, and the largest. */
const steps = 400
const most = 1.5

/** A part of a photograph in reflectances, to be laid over a chart. */
export interface Photograph {
  readonly width: number
  readonly height: number
  readonly light: Float32Array
}

/** The reflectance that shows at a point of a cover, and of the frame. */
function lightOf(
  kind: Kind,
  rgb: Vec3,
  soft: number,
  pitch: number,
  random: () => number,
  photographs: readonly Photograph[],
): (u: number, v: number, x: number, y: number) => Vec3 {
  if (kind !== 'photo')
    return (u, v) => {
      const share = textureOf(kind, u, v, soft)
      return [rgb[0] * share, rgb[1] * share, rgb[2] * share]
    }
  const photograph = photographs[Math.floor(random() * photographs.length)]!
  const { width, height, light } = photograph
  // A tenth to a third of it is as wide as a patch.
  const scale = (width * (0.1 + 0.2 * random())) / pitch
  const [left, top] = [random() * width, random() * height]
  // There and back, so that it has no edges.
  const folded = (value: number, size: number) => {
    const at = Math.floor(Math.abs(value)) % (2 * size)
    return at < size ? at : 2 * size - 1 - at
  }
  return (_, __, x, y) => {
    const at = 3 * (folded(top + y * scale, height) * width + folded(left + x * scale, width))
    return [light[at]!, light[at + 1]!, light[at + 2]!]
  }
}

/** Codes of reflectances as this scene shows them: by its own patches, whose codes are known. */
function codesOf(truth: Covered): (rgb: Vec3) => Vec3 {
  const usable = truth.patches.flatMap((patch, k) =>
    patch.clipped ? [] : [{ light: patch.light, code: patch.code, k }],
  )
  const white = usable.reduce((a, b) => (b.light[1] > a.light[1] ? b : a))
  return (rgb) =>
    [0, 1, 2].map((c) => {
      // Light of a patch that is as bright, by the channel's own curve through the patches.
      const target = rgb[c]! * (white.light[c]! / 0.9)
      const sorted = usable.map((one) => [one.light[c]!, one.code[c]!] as const).sort((a, b) => a[0] - b[0])
      const above = sorted.findIndex(([light]) => light >= target)
      if (above === 0) return sorted[0]![1]
      const [high, low] = above < 0 ? [sorted.at(-1), sorted.at(-2)] : [sorted[above]!, sorted[above - 1]!]
      const t = (target - low[0]) / Math.max(high[0] - low[0], 1e-9)
      return Math.max(0, Math.min(1, low[1] + Math.min(t, 1.2) * (high[1] - low[1])))
    }) as unknown as Vec3
}

/** A chart, what its patches are and show, and where its points lie in the frame. */
export interface Covered extends Pick<ChartTruth, 'chart' | 'patches'> {
  readonly map: ChartMap
}

/** Paints over a chart in a frame, whose codes have this range. */
export function coverPatches(
  { frame, range }: { readonly frame: Frame; readonly range: Range },
  truth: Covered,
  kind: Kind,
  random: () => number,
  photographs: readonly Photograph[] = [],
): CoveredFrame {
  const { width, height } = frame
  const { patches } = truth
  const data = frame.data.slice()
  const scale = frame.codeScale
  const outlines = outlinesOf(truth)
  const k = Math.floor(random() * patches.length)
  const [cx, cy] = patches[k]!.centre
  const pitch = pitchOf(truth, k, outlines[k]!)
  const long = kind === 'cable' || kind === 'tape' || kind === 'strap'
  const half = long
    ? ([pitch * (2 + 4 * random()), pitch * (0.3 + 0.25 * random())] as const)
    : ([pitch * (0.5 + 1.3 * random()), pitch * (0.45 + 0.7 * random())] as const)
  const angle = random() * Math.PI
  const middle = [cx + pitch * (random() - 0.5), cy + pitch * (random() - 0.5)] as const
  const round = kind !== 'label' && kind !== 'card' && kind !== 'paper' && !long && random() < 0.7
  const soft = random()
  const rgb = colourOf(kind, random)
  const codes = codesOf(truth)
  const [foot, span] = range === 'narrow' ? [16 / 255, 219 / 255] : [0, 1]
  const levels = Array.from({ length: steps + 1 }, (_, i) =>
    codes([0, 1, 2].map(() => (most * i) / steps) as unknown as Vec3),
  )
  const light = lightOf(kind, rgb, soft, pitch, random, photographs)
  const place = (x: number, y: number) => {
    const dx = x - middle[0]
    const dy = y - middle[1]
    const u = (dx * Math.cos(angle) + dy * Math.sin(angle)) / half[0]
    const v = (dy * Math.cos(angle) - dx * Math.sin(angle)) / half[1]
    return { u, v, in: round ? u * u + v * v < 1 : Math.abs(u) < 1 && Math.abs(v) < 1 }
  }
  const far = Math.max(...half) * 1.5
  for (let y = Math.max(0, Math.floor(middle[1] - far)); y < Math.min(height, middle[1] + far); y++) {
    for (let x = Math.max(0, Math.floor(middle[0] - far)); x < Math.min(width, middle[0] + far); x++) {
      const at = place(x + 0.5, y + 0.5)
      if (!at.in) continue
      const seen = light(at.u, at.v, x, y)
      for (let c = 0; c < 3; c++) {
        const noise = 0.006 * (random() + random() + random() - 1.5)
        const level = levels[Math.max(0, Math.min(steps, Math.round((steps * seen[c]!) / most)))]!
        const code = foot + span * level[c]! + noise
        data[3 * (y * width + x) + c] = Math.max(0, Math.min(1, code)) * scale
      }
    }
  }
  const covered = outlines.map((outline) => {
    const points = pointsIn(outline)
    return points.filter(([x, y]) => place(x, y).in).length / points.length
  })
  return { frame: createFrame(width, height, data, frame.bits), covered }
}

/** A frame with something over a chart in it. */
export interface CoveredFrame {
  readonly frame: Frame
  /** By patch of the chart the share that is covered. */
  readonly covered: readonly number[]
}

/** Of each patch the part that counts when it is asked how much of it is covered: four fifths of the way to its neighbours, or nearly all of a region. */
function outlinesOf({ chart, patches, map }: Covered): readonly (readonly Point[])[] {
  if (!isGrid(chart)) return patchAreas(chart, map, 0.95).map(({ quad, outline }) => outline ?? quad)
  return patches.map(({ centre: [x, y] }, i) => {
    const right = patches[i % chart.columns === 0 ? i + 1 : i - 1]!.centre
    const below = patches[i < chart.columns ? i + chart.columns : i - chart.columns]!.centre
    const a = [0.4 * (right[0] - x), 0.4 * (right[1] - y)] as const
    const b = [0.4 * (below[0] - x), 0.4 * (below[1] - y)] as const
    return [
      [x - a[0] - b[0], y - a[1] - b[1]],
      [x + a[0] - b[0], y + a[1] - b[1]],
      [x + a[0] + b[0], y + a[1] + b[1]],
      [x - a[0] + b[0], y - a[1] + b[1]],
    ]
  })
}

/** From a patch to the next: in a grid to its neighbour, of a region the width of a square of its area and a gap beside it. */
function pitchOf({ chart, patches }: Covered, k: number, outline: readonly Point[]): number {
  if (isGrid(chart)) {
    const [[x, y], [u, v]] = [patches[k]!.centre, patches[k % chart.columns === 0 ? k + 1 : k - 1]!.centre]
    return Math.hypot(u - x, v - y)
  }
  const twice = outline.reduce((sum, [x, y], i) => {
    const [u, v] = outline[(i + 1) % outline.length]!
    return sum + x * v - u * y
  }, 0)
  return 1.2 * Math.sqrt(Math.abs(twice) / 2)
}

/** Some hundred points within a convex outline. */
function pointsIn(outline: readonly Point[]): readonly Point[] {
  const [xs, ys] = [outline.map(([x]) => x), outline.map(([, y]) => y)]
  const [left, top] = [Math.min(...xs), Math.min(...ys)]
  const [width, height] = [Math.max(...xs) - left, Math.max(...ys) - top]
  const inside = ([px, py]: Point) => {
    const sides = outline.map(([x, y], k) => {
      const [u, v] = outline[(k + 1) % outline.length]!
      return (u - x) * (py - y) - (v - y) * (px - x)
    })
    return sides.every((side) => side >= 0) || sides.every((side) => side <= 0)
  }
  return Array.from(
    { length: 15 * 15 },
    (_, i): Point => [
      left + ((i % 15) + 0.5) * (width / 15),
      top + (Math.floor(i / 15) + 0.5) * (height / 15),
    ],
  ).filter(inside)
}
