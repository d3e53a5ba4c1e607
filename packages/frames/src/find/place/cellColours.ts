import type { Mat3, Vec3 } from '@isochip/core'
import { project } from '../../geometry/homography.ts'
import { orderStatistic } from '../../sample/orderStatistic.ts'
import { constants } from '../constants.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import type { BoardAbout, CellColour } from './cellColour.ts'

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
  const { data, clip } = image
  const { grid, span } = constants.cell
  const n = grid * grid
  const values = [new Float64Array(n), new Float64Array(n), new Float64Array(n)] as const
  for (let j = 0; j < grid; j++) {
    for (let i = 0; i < grid; i++) {
      const x = column + span * (i / (grid - 1) - 0.5)
      const y = row + span * (j / (grid - 1) - 0.5)
      const at = sampleAt(image, map, x, y)
      if (at === undefined) return undefined
      for (let c = 0; c < 3; c++) values[c]![j * grid + i] = data[at + c]!
    }
  }
  const slope = slopeOf(values)
  let sd = 0
  const colourOf = (list: Float64Array): number => {
    const noise = noiseOf(list)
    // The middle half by value: a glint or a mark in the cell is not its colour.
    const sorted = list.sort()
    let sum = 0
    let count = 0
    for (let k = Math.floor(n / 4); k < Math.ceil((3 * n) / 4); k++) {
      sum += sorted[k]!
      count++
    }
    sd = Math.max(sd, Math.sqrt(Math.max(0, scatterOf(sorted) ** 2 - noise ** 2)))
    return sum / count
  }
  const rgb: Vec3 = [colourOf(values[0]), colourOf(values[1]), colourOf(values[2])]
  let board: BoardAbout | undefined | null = null
  return {
    rgb,
    sd,
    slope,
    clipped: [rgb[0] >= clip[0], rgb[1] >= clip[1], rgb[2] >= clip[2]],
    // Few cells are asked for it.
    board: () => {
      if (board === null) board = boardAbout(image, map, column, row)
      return board
    },
  }
}

/** Where the samples of the pixel at a point of the lattice begin; `undefined` where that is not in the picture. */
function sampleAt(
  { width, height }: WorkingImage,
  map: Mat3,
  column: number,
  row: number,
): number | undefined {
  const [px, py] = project(map, column, row)
  const x = Math.floor(px)
  const y = Math.floor(py)
  return x >= 0 && y >= 0 && x < width && y < height ? 3 * (y * width + x) : undefined
}

/** Change of lightness over one column and one row, as it is within the cell. */
function slopeOf(values: readonly Float64Array[]): readonly [number, number] {
  const { grid, span } = constants.cell
  let across = 0
  let down = 0
  let squares = 0
  for (let j = 0; j < grid; j++) {
    for (let i = 0; i < grid; i++) {
      const x = span * (i / (grid - 1) - 0.5)
      const y = span * (j / (grid - 1) - 0.5)
      const at = j * grid + i
      const level = (values[0]![at]! + values[1]![at]! + values[2]![at]!) / 3
      across += x * level
      down += y * level
      squares += x * x
    }
  }
  return [across / squares, down / squares]
}

/** Mean lightness about a point of the lattice; `undefined` where it reaches out of the picture. */
function spotLevel(
  image: WorkingImage,
  map: Mat3,
  column: number,
  row: number,
  reach: number,
): number | undefined {
  const { data } = image
  const { spots } = constants.cell
  let sum = 0
  for (let j = 0; j < spots; j++) {
    for (let i = 0; i < spots; i++) {
      const x = column + reach * (i / (spots - 1) - 0.5)
      const y = row + reach * (j / (spots - 1) - 0.5)
      const at = sampleAt(image, map, x, y)
      if (at === undefined) return undefined
      sum += data[at]! + data[at + 1]! + data[at + 2]!
    }
  }
  return sum / (3 * spots * spots)
}

/**
 * What shows where the gaps beside a cell cross: mean of the middle two of its four corners, of which a mark or the
 * end of the board may spoil one or two.
 */
function boardAbout(image: WorkingImage, map: Mat3, column: number, row: number): BoardAbout | undefined {
  const { crossingSpan, middleSpan } = constants.cell
  const levels: number[] = []
  const steps: number[] = []
  for (const [dx, dy] of [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ] as const) {
    const level = spotLevel(image, map, column + dx / 2, row + dy / 2, crossingSpan)
    if (level === undefined) continue
    levels.push(level)
    const around = [
      [0, 0],
      [dx, 0],
      [0, dy],
      [dx, dy],
    ].flatMap(([x, y]) => spotLevel(image, map, column + x!, row + y!, middleSpan) ?? [])
    if (around.length === 4) steps.push(Math.abs(level - around.reduce((sum, one) => sum + one, 0) / 4))
  }
  if (levels.length < 3 || steps.length === 0) return undefined
  levels.sort((a, b) => a - b)
  return {
    level: levels.length === 4 ? (levels[1]! + levels[2]!) / 2 : levels[1]!,
    step: steps.reduce((sum, one) => sum + one, 0) / steps.length,
  }
}

/** From the tenth to the ninetieth percentile: 2.563 standard deviations of a normal distribution. */
function scatterOf(sorted: Float64Array): number {
  const n = sorted.length
  return (sorted[Math.floor(0.9 * n)]! - sorted[Math.floor(0.1 * n)]!) / 2.563
}

/**
 * Noise of a sample, by differences of samples side by side and one above the other. An edge through the cell is in one of six and
 * leaves their middle eight tenths alone; noise is in all.
 */
function noiseOf(list: Float64Array): number {
  const { grid } = constants.cell
  let count = 0
  for (let j = 0; j < grid; j++) {
    for (let i = 0; i < grid; i++) {
      const at = j * grid + i
      if (i < grid - 1) differences[count++] = list[at + 1]! - list[at]!
      if (j < grid - 1) differences[count++] = list[at + grid]! - list[at]!
    }
  }
  // Only two of them are asked for, which is less than to sort them all; see `scatterOf`.
  const high = orderStatistic(differences, Math.floor(0.9 * count))
  return (high - orderStatistic(differences, Math.floor(0.1 * count))) / 2.563 / Math.SQRT2
}

/** Room for them, used over and over. */
const differences = new Float64Array(2 * constants.cell.grid * (constants.cell.grid - 1))
