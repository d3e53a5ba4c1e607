import { type Chart, type ChartRegion, regionOf, type Vec3 } from '@isochip/core'
import {
  createFrame,
  type Frame,
  homographyFromUnitSquare,
  type Point,
  project,
  type Quad,
} from '../../src/index.ts'

/** Numbers in 0…1 that look random and are the same at every run (mulberry32). */
export function randomNumbers(start: number): () => number {
  let state = start | 0
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

/** Of one start: nearly all scenes have the same, and of their time logarithms and cosines would be a third. */
const drawn = new Map<number, { readonly next: () => number; readonly values: number[] }>()

/** Normally distributed numbers of standard deviation 1. */
export function normalNumbers(start: number): () => number {
  const known = drawn.get(start) ?? { next: randomNumbers(start), values: [] }
  if (drawn.size < 4) drawn.set(start, known)
  const { next, values } = known
  let at = 0
  return () => {
    if (at === values.length)
      values.push(Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()))
    return values[at++]!
  }
}

/** A chart seen a little from the side, in a frame of 400 × 300. */
export const slantedCorners: Quad = [
  [40, 30],
  [360, 42],
  [350, 260],
  [48, 250],
]

export interface Scene {
  readonly width: number
  readonly height: number
  readonly corners: Quad
  readonly chart: Chart
  /** Level of a patch as fractions of the code range. */
  readonly level: (index: number) => Vec3
  /** Level of what lies between and around the patches. */
  readonly board?: Vec3
  readonly bits?: 8 | 16
  /** Standard deviation of the noise, fraction of the code range. */
  readonly noise?: number
  readonly start?: number
  /** Changes the level at a pixel. */
  readonly shade?: (rgb: Vec3, x: number, y: number) => Vec3
}

/** A chart drawn into a frame without any anti-aliasing: every pixel gets the level at its centre. */
export function drawScene(scene: Scene): Frame {
  const { width, height, chart } = scene
  const bits = scene.bits ?? 16
  const top = 2 ** bits - 1
  const data = bits === 8 ? new Uint8Array(3 * width * height) : new Uint16Array(3 * width * height)
  const inverse = unproject(scene.corners)
  const normal = normalNumbers(scene.start ?? 1)
  const at = patchAt(chart)
  const levels = chart.patches.map((_, index) => scene.level(index))
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [u, v] = inverse([x + 0.5, y + 0.5])
      const index = at(u, v)
      const plain = index >= 0 ? levels[index]! : (scene.board ?? [0.03, 0.03, 0.03])
      const rgb = scene.shade === undefined ? plain : scene.shade(plain, x, y)
      for (let c = 0; c < 3; c++) {
        const level = rgb[c]! + (scene.noise === undefined ? 0 : scene.noise * normal())
        data[3 * (y * width + x) + c] = Math.max(0, Math.min(top, Math.round(level * top)))
      }
    }
  }
  return createFrame(width, height, data)
}

/** Pixels → fractions of the quad, by the adjugate of its map. */
function unproject(quad: Quad): (point: Point) => Point {
  const map = homographyFromUnitSquare(quad)
  if (map === undefined) throw new Error('the scene has no such quad')
  const [[a, b, c], [d, e, f], [g, h, i]] = map
  const inverse = [
    [e * i - f * h, c * h - b * i, b * f - c * e],
    [f * g - d * i, a * i - c * g, c * d - a * f],
    [d * h - e * g, b * g - a * h, a * e - b * d],
  ] as const
  return ([x, y]) => project(inverse, x, y)
}

/** Which patch lies at a point of the chart's corners' unit square; −1 for none. */
function patchAt(chart: Chart): (u: number, v: number) => number {
  if (chart.regions !== undefined) {
    const [wide, high] = chart.regions.size
    const regions = chart.patches.map((_, k) => regionOf(chart, k))
    const boxes = regions.map(boxOf)
    let last = -1
    return (u, v) => {
      // Most neighbours lie in the same patch.
      if (last < 0 || !within(regions[last]!, u * wide, v * high))
        last = regions.findIndex(
          (region, k) => inBox(boxes[k]!, u * wide, v * high) && within(region, u * wide, v * high),
        )
      return last
    }
  }
  const [pitchX, pitchY] = chart.geometry.pitch
  const [sizeX, sizeY] = chart.geometry.patch
  return (u, v) => {
    const column = Math.floor(u / pitchX)
    const row = Math.floor(v / pitchY)
    const inside =
      column >= 0 &&
      row >= 0 &&
      column < chart.columns &&
      row < chart.rows &&
      u - column * pitchX <= sizeX &&
      v - row * pitchY <= sizeY
    return inside ? row * chart.columns + column : -1
  }
}

type Box = readonly [left: number, top: number, right: number, bottom: number]

function boxOf(region: ChartRegion): Box {
  if ('circle' in region) {
    const { centre, radius } = region.circle
    return [centre[0] - radius, centre[1] - radius, centre[0] + radius, centre[1] + radius]
  }
  const [x, y] = [region.polygon.map((at) => at[0]), region.polygon.map((at) => at[1])]
  return [Math.min(...x), Math.min(...y), Math.max(...x), Math.max(...y)]
}

const inBox = ([left, top, right, bottom]: Box, x: number, y: number) =>
  x >= left && x <= right && y >= top && y <= bottom

/** By the number of sides that a ray to the right crosses. */
function within(region: ChartRegion, x: number, y: number): boolean {
  if ('circle' in region) {
    const [cx, cy] = region.circle.centre
    return Math.hypot(x - cx, y - cy) < region.circle.radius
  }
  const { polygon } = region
  const crossed = polygon.filter(([ax, ay], k) => {
    const [bx, by] = polygon[(k + 1) % polygon.length]!
    return ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)
  })
  return crossed.length % 2 === 1
}
