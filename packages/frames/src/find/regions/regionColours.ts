import type { Mat3 } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'
import { constants } from '../constants.ts'
import type { CellColour, SeenColours } from '../place/cellColour.ts'
import { cellColours } from '../place/cellColours.ts'
import type { Veil } from '../place/veilingGlare.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import type { Constellation } from './constellation.ts'

/** A point of the chart's own coordinates → working pixels. */
export type RegionMap = (x: number, y: number) => Point

/** What the regions look like; nothing is known of one that lies out of the picture. */
export function regionColours(image: WorkingImage, { cells }: Constellation, at: RegionMap): CellColour[] {
  return cells.map(({ centre: [x, y], half }) => {
    // A cell of a lattice of its own, of which the colour takes the part that lies well within the region.
    const side = (2 * half) / constants.cell.span
    const [ox, oy] = at(x, y)
    const [ax, ay] = at(x + half, y)
    const [bx, by] = at(x, y + half)
    const grow = side / half
    const local: Mat3 = [
      [grow * (ax - ox), grow * (bx - ox), ox],
      [grow * (ay - oy), grow * (by - oy), oy],
      [0, 0, 1],
    ]
    return cellColours(image, local)(0, 0) ?? outside
  })
}

const outside: CellColour = {
  rgb: [0, 0, 0],
  sd: Number.POSITIVE_INFINITY,
  clipped: [true, true, true],
  missing: true,
}

/** The same at a few pixels of each region, for a first look. */
export function glimpse(
  { width, height, data }: WorkingImage,
  { cells }: Constellation,
  at: RegionMap,
): SeenColours {
  const rgb = new Float64Array(3 * cells.length)
  const missing = new Uint8Array(cells.length)
  for (let k = 0; k < cells.length; k++) {
    const {
      centre: [x, y],
      half,
    } = cells[k]!
    const [ox, oy] = at(x, y)
    const [ax, ay] = at(x + half, y)
    const [bx, by] = at(x, y + half)
    let count = 0
    for (let j = -1; j <= 1; j++) {
      for (let i = -1; i <= 1; i++) {
        const px = Math.floor(ox + 0.6 * (i * (ax - ox) + j * (bx - ox)))
        const py = Math.floor(oy + 0.6 * (i * (ay - oy) + j * (by - oy)))
        if (!(px >= 0 && py >= 0 && px < width && py < height)) continue
        count++
        const from = 3 * (py * width + px)
        for (let c = 0; c < 3; c++) rgb[3 * k + c]! += data[from + c]!
      }
    }
    if (count === 0) missing[k] = 1
    else for (let c = 0; c < 3; c++) rgb[3 * k + c]! /= count
  }
  return { rgb, missing, clipped: new Uint8Array(cells.length) }
}

/** The chart's coordinates turned over: across, down, or both (upside down). */
export const flipped = ([width, height]: readonly [number, number], across: boolean, down: boolean): Mat3 => [
  [across ? -1 : 1, 0, across ? width : 0],
  [0, down ? -1 : 1, down ? height : 0],
  [0, 0, 1],
]

/**
 * Light that lies over the chart, as the board about the regions shows it: the middle lightness of a few points outside each.
 *
 * @returns `undefined` where the board is even, or too much of it is not seen
 */
export function boardVeil(
  image: WorkingImage,
  { boards }: Constellation,
  at: RegionMap,
  cells: readonly CellColour[],
): Veil | undefined {
  const { slight, strong, mostLost } = constants.veil
  const levels = boards.map((points) => {
    const seen = points.flatMap(([x, y]) => lightness(image, at(x, y)) ?? []).sort((a, b) => a - b)
    return seen.length === 0 ? Number.NaN : seen[seen.length >> 1]!
  })
  const sorted = levels.filter((level) => !Number.isNaN(level)).sort((a, b) => a - b)
  if (sorted.length < 0.8 * levels.length) return undefined
  const quantile = (share: number) => sorted[Math.floor(share * (sorted.length - 1))]!
  if (quantile(0.9) - quantile(0.1) < slight) return undefined
  const middle = quantile(0.5)
  const level = Float64Array.from(levels, (one) => (Number.isNaN(one) ? 0 : one - middle))
  const lost = Uint8Array.from(cells, ({ clipped }, k) =>
    level[k]! > strong && clipped.every((clips) => clips) ? 1 : 0,
  )
  if (lost.reduce((sum, one) => sum + one, 0) > mostLost * cells.length) return undefined
  return { level, lost }
}

function lightness({ width, height, data }: WorkingImage, [px, py]: Point): number | undefined {
  const x = Math.floor(px)
  const y = Math.floor(py)
  if (!(x >= 0 && y >= 0 && x < width && y < height)) return undefined
  const at = 3 * (y * width + x)
  return (data[at]! + data[at + 1]! + data[at + 2]!) / 3
}
