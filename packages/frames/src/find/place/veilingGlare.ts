import { solveNormal } from '../../geometry/solveNormal.ts'
import { constants } from '../constants.ts'
import type { CellColour } from './cellColour.ts'

/** Light that lies over a chart: a mirrored lamp, or uneven light. */
export interface Veil {
  /** For every cell its lightness, less the median of all; in working levels, so compressed like these. */
  readonly level: Float64Array
  /** 1 for a cell where it is so strong that nothing else is seen. */
  readonly lost: Uint8Array
}

/**
 * The veil over the cells of a chart: as the board shows it between the patches, or, where these touch, as the
 * patches show it in themselves.
 *
 * @param cells row by row
 * @param slopes change of lightness from a cell to the next along rows and columns, as it is within every cell
 * @returns `undefined` where it is even, or hides too much
 */
export function veilingGlare(
  cells: readonly CellColour[],
  columns: number,
  slopes: readonly (readonly [across: number, down: number])[],
): Veil | undefined {
  const { slight, strong, mostLost } = constants.veil
  const raw = boardLevels(cells) ?? integrated(cells, columns, slopes)
  const sorted = raw.slice().sort()
  const at = (share: number) => sorted[Math.floor(share * (sorted.length - 1))]!
  if (at(0.9) - at(0.1) < slight) return undefined
  const middle = at(0.5)
  const level = raw.map((one) => one - middle)
  const lost = Uint8Array.from(cells, ({ clipped }, k) =>
    level[k]! > strong && clipped.every((clips) => clips) ? 1 : 0,
  )
  if (lost.reduce((sum, one) => sum + one, 0) > mostLost * cells.length) return undefined
  return { level, lost }
}

/** Lightness of the board about every cell; `undefined` where it cannot be told from the patches. */
function boardLevels(cells: readonly CellColour[]): Float64Array | undefined {
  const n = cells.length
  const levels = new Float64Array(n)
  let step = 0
  let sum = 0
  let squares = 0
  for (const [k, { rgb, board }] of cells.entries()) {
    const about = board?.()
    if (about === undefined) return undefined
    levels[k] = about.level
    step += about.step / n
    const level = (rgb[0] + rgb[1] + rgb[2]) / 3
    sum += level / n
    squares += level ** 2 / n
  }
  return step < constants.veil.apart * Math.sqrt(Math.max(0, squares - sum ** 2)) ? undefined : levels
}

/** The surface whose steps from cell to cell are those that the cells show in themselves, by least squares; 0 at the first. */
function integrated(
  cells: readonly CellColour[],
  columns: number,
  slopes: readonly (readonly [number, number])[],
): Float64Array {
  const n = cells.length
  const trust = cells.map(({ clipped }) =>
    clipped.some((clips) => clips) ? constants.veil.clippedWeight : 1,
  )
  const normal = new Float64Array(n * n)
  const level = new Float64Array(n)
  normal[0] = 1
  const link = (a: number, b: number, axis: 0 | 1) => {
    const weight = trust[a]! + trust[b]!
    const moment = trust[a]! * slopes[a]![axis] + trust[b]! * slopes[b]![axis]
    level[a]! -= moment
    level[b]! += moment
    normal[n * a + a]! += weight
    normal[n * b + b]! += weight
    normal[n * b + a]! -= weight
  }
  for (let k = 0; k < n; k++) {
    if ((k + 1) % columns !== 0) link(k, k + 1, 0)
    if (k + columns < n) link(k, k + columns, 1)
  }
  return solveNormal(normal, level) ? level : new Float64Array(n)
}
