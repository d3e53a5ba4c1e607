import type { ChartRegion, Vec3 } from '@isochip/core'
import type { Picture } from './picture.ts'
import { eachPixel, type Plane } from './plane.ts'

/** A board with patches of any shape. */
export interface RegionLayer {
  /** Width and height of the rectangle that spans the plane's unit square, in the unit of the regions. */
  readonly size: readonly [number, number]
  readonly regions: readonly ChartRegion[]
  /** One per region. */
  readonly colours: readonly Vec3[]
  /** Between and around the patches. */
  readonly board: Vec3
  /** How far the board reaches beyond the rectangle: left, top, right, bottom, in its heights. */
  readonly margin: readonly [number, number, number, number]
  /** Factor on the light that falls on the point (u, v) of the plane. */
  readonly shade?: (u: number, v: number) => number
  /** Light of the lamp that the surface throws back like a mirror at (u, v), and its colour. */
  readonly sheen?: { readonly colour: Vec3; readonly level: (u: number, v: number) => number }
}

/** Samples along a side of what a pixel covers, where an edge runs through it. */
const fine = 5

/** Paints a board with patches of any shape. Edges are smoothed by area. */
export function regionLayer(picture: Picture, plane: Plane, layer: RegionLayer): void {
  const { data } = picture
  const { size, colours, margin, shade, sheen, board } = layer
  const [width, height] = size
  const aspect = width / height
  const bounds = [-margin[0] / aspect, -margin[1], 1 + margin[2] / aspect, 1 + margin[3]] as const
  const at = regionIndex(layer.regions, size)
  const inside = (low: number, high: number, p: number, reach: number) =>
    Math.max(0, Math.min(p + reach / 2, high) - Math.max(p - reach / 2, low)) / reach

  eachPixel(picture, plane, bounds, (pixel, u, v, reachU, reachV) => {
    const cover = inside(bounds[0], bounds[2], u, reachU) * inside(bounds[1], bounds[3], v, reachV)
    if (cover <= 0) return
    const look = (s: number, t: number) => at((u + s * reachU) * width, (v + t * reachV) * height)
    const middle = look(0, 0)
    const even =
      look(-0.5, -0.5) === middle &&
      look(0.5, -0.5) === middle &&
      look(-0.5, 0.5) === middle &&
      look(0.5, 0.5) === middle
    let [r, g, b] = colours[middle] ?? board
    if (!even) {
      r = 0
      g = 0
      b = 0
      for (let j = 0; j < fine; j++) {
        for (let i = 0; i < fine; i++) {
          const colour = colours[look((i + 0.5) / fine - 0.5, (j + 0.5) / fine - 0.5)] ?? board
          r += colour[0] / fine ** 2
          g += colour[1] / fine ** 2
          b += colour[2] / fine ** 2
        }
      }
    }
    const light = shade === undefined ? 1 : shade(u, v)
    const extra = sheen === undefined ? 0 : sheen.level(u, v)
    const shine = sheen?.colour ?? [0, 0, 0]
    data[pixel]! += cover * (r * light + extra * shine[0] - data[pixel]!)
    data[pixel + 1]! += cover * (g * light + extra * shine[1] - data[pixel + 1]!)
    data[pixel + 2]! += cover * (b * light + extra * shine[2] - data[pixel + 2]!)
  })
}

/** Squares along the longer side, by which regions are looked up. */
const squares = 64

/** Which region a point lies in, −1 for none. */
function regionIndex(
  regions: readonly ChartRegion[],
  [width, height]: readonly [number, number],
): (x: number, y: number) => number {
  const pitch = Math.max(width, height) / squares
  const columns = Math.ceil(width / pitch)
  const rows = Math.ceil(height / pitch)
  const near = Array.from({ length: columns * rows }, (): number[] => [])
  regions.forEach((region, k) => {
    const points: readonly (readonly [number, number])[] =
      'circle' in region
        ? [-1, 1].map((side) => [
            region.circle.centre[0] + side * region.circle.radius,
            region.circle.centre[1] + side * region.circle.radius,
          ])
        : region.polygon
    const range = (axis: 0 | 1, most: number) => {
      const all = points.map((point) => point[axis])
      return [
        Math.max(0, Math.floor(Math.min(...all) / pitch)),
        Math.min(most - 1, Math.floor(Math.max(...all) / pitch)),
      ] as const
    }
    const [left, right] = range(0, columns)
    const [top, bottom] = range(1, rows)
    for (let row = top; row <= bottom; row++)
      for (let column = left; column <= right; column++) near[row * columns + column]!.push(k)
  })
  return (x, y) => {
    if (!(x >= 0 && y >= 0 && x < width && y < height)) return -1
    const some = near[Math.min(rows - 1, Math.floor(y / pitch)) * columns + Math.floor(x / pitch)] ?? []
    return some.find((k) => contains(regions[k]!, x, y)) ?? -1
  }
}

function contains(region: ChartRegion, x: number, y: number): boolean {
  if ('circle' in region) {
    const { centre, radius } = region.circle
    return (x - centre[0]) ** 2 + (y - centre[1]) ** 2 < radius ** 2
  }
  let within = false
  const { polygon } = region
  for (let i = 0, j = polygon.length - 1; i < polygon.length; j = i++) {
    const [ax, ay] = polygon[i]!
    const [bx, by] = polygon[j]!
    if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) within = !within
  }
  return within
}
