import { type Markup, markup } from '../../page/markup.ts'
import type { Pair } from '../../pairs.ts'
import { picture } from '../frame.ts'
import { squareGrid } from '../squareGrid.ts'

/**
 * Every camera against every other: mean ΔE00 as shot below the diagonal, matched above it. The darker, the further
 * apart.
 */
export function pairMatrix(cameras: readonly string[], pairs: readonly Pair[], label: string): Markup {
  const most = Math.max(...pairs.flatMap(({ before, after }) => [before, after]))
  const { size, heads, square } = squareGrid(cameras, most, 96, 30, { width: 62, height: 34 })
  const squares = pairs.map(
    ({ a, b, before, after }) =>
      markup`<g class="mt">${square(a, b, after)}</g><g class="as">${square(b, a, before)}</g>`,
  )
  return picture('pairs', label, size, [heads, squares])
}
