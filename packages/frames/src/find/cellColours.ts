import type { Mat3, Vec3 } from '@isochip/core'
import { project } from '../geometry/homography.ts'
import type { CellColour } from './colourFit.ts'
import type { WorkingImage } from './workingImage.ts'

/** Sample points along each side of a cell, and the share of the cell that they span. */
const grid = 7
const span = 0.42

/**
 * Colours of the cells of a lattice, each worked out when first asked for.
 *
 * @returns a function of column and row; `undefined` for a cell whose middle is not in the picture
 */
export function cellColours(
  image: WorkingImage,
  map: Mat3,
): (column: number, row: number) => CellColour | undefined {
  const known = new Map<number, CellColour | undefined>()
  return (column, row) => {
    const key = 4096 * (row + 2048) + column + 2048
    if (known.has(key)) return known.get(key)
    const colour = measure(image, map, column, row)
    known.set(key, colour)
    return colour
  }
}

function measure(image: WorkingImage, map: Mat3, column: number, row: number): CellColour | undefined {
  const { width, height, data, clip } = image
  const values: [number[], number[], number[]] = [[], [], []]
  for (let j = 0; j < grid; j++) {
    for (let i = 0; i < grid; i++) {
      const [px, py] = project(
        map,
        column + span * (i / (grid - 1) - 0.5),
        row + span * (j / (grid - 1) - 0.5),
      )
      const x = Math.floor(px)
      const y = Math.floor(py)
      if (!(x >= 0 && y >= 0 && x < width && y < height)) return undefined
      for (let c = 0; c < 3; c++) values[c]!.push(data[3 * (y * width + x) + c]!)
    }
  }
  const n = grid * grid
  let sd = 0
  const rgb = values.map((list) => {
    const noise = scatterOf(neighbourDifferences(list)) / Math.SQRT2
    // The middle half by value: a glint or a mark in the cell is not its colour.
    const sorted = list.sort((a, b) => a - b)
    let sum = 0
    let count = 0
    for (let k = Math.floor(n / 4); k < Math.ceil((3 * n) / 4); k++) {
      sum += sorted[k]!
      count++
    }
    sd = Math.max(sd, Math.sqrt(Math.max(0, scatterOf(sorted) ** 2 - noise ** 2)))
    return sum / count
  }) as unknown as Vec3
  return { rgb, sd, clipped: [rgb[0] >= clip[0], rgb[1] >= clip[1], rgb[2] >= clip[2]] }
}

/** From the tenth to the ninetieth percentile: 2.563 standard deviations of a normal distribution. */
function scatterOf(sorted: readonly number[]): number {
  const n = sorted.length
  return (sorted[Math.floor(0.9 * n)]! - sorted[Math.floor(0.1 * n)]!) / 2.563
}

/**
 * Differences of samples side by side and one above the other, sorted. An edge through the cell is in one of six and
 * leaves their middle eight tenths alone; noise is in all.
 */
function neighbourDifferences(list: readonly number[]): number[] {
  const differences: number[] = []
  for (let j = 0; j < grid; j++) {
    for (let i = 0; i < grid; i++) {
      const at = j * grid + i
      if (i < grid - 1) differences.push(list[at + 1]! - list[at]!)
      if (j < grid - 1) differences.push(list[at + grid]! - list[at]!)
    }
  }
  return differences.sort((a, b) => a - b)
}
