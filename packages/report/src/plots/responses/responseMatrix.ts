import { type Markup, markup } from '../../page/markup.ts'
import { picture } from '../frame.ts'
import { squareGrid } from '../squareGrid.ts'

const margin = { left: 110, top: 48 }

/** Mean ΔE00 that is left from one to another. */
export interface Left {
  readonly from: string
  readonly to: string
  readonly mean: number
}

/**
 * What the best linear map leaves, from every row to every column; the fuller the tint, the more. Not mirrored: ΔE00 is
 * counted where the map leads to.
 */
export function responseMatrix(names: readonly string[], left: readonly Left[], label: string): Markup {
  const most = Math.max(...left.map(({ mean }) => mean))
  const cell = { width: 66, height: 34 }
  const { size, heads, square } = squareGrid(names, most, margin.left, margin.top, cell)
  const corner = markup`<text class="faint" x="0" y="${margin.top - 10}">from</text><text class="faint" x="${margin.left}" y="14">to</text>`
  const squares = left.map(({ from, to, mean }) => square(from, to, mean))
  return picture('pairs', label, size, [corner, heads, squares])
}
