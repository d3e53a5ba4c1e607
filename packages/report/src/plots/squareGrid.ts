import { scaleLinear } from 'd3-scale'
import { coordinate as c, deltaEText } from '../digits.ts'
import { type Markup, markup } from '../page/markup.ts'
import type { Size } from './frame.ts'
import { shortName } from './shortName.ts'

/**
 * Everybody against everybody: names above the columns and beside the rows, and squares with a ΔE00 each. The larger, the
 * fuller its tint; `most`, the largest of all, still lets its figure be read.
 */
export function squareGrid(names: readonly string[], most: number, left: number, top: number, cell: Size) {
  const tint = scaleLinear([0, Math.max(1e-9, most)], [0, 0.42])
  const x = (i: number) => left + i * cell.width
  const y = (i: number) => top + i * cell.height
  const box = (column: number, row: number) =>
    markup`x="${c(x(column) + 1)}" y="${c(y(row) + 1)}" width="${cell.width - 2}" height="${cell.height - 2}"`
  const middle = (i: number) => c(x(i) + cell.width / 2)
  const line = (i: number) => c(y(i) + cell.height / 2 + 4.5)
  const heads = names.map(
    (name, i) =>
      markup`<text class="mid" x="${middle(i)}" y="${top - 10}">${shortName(name, cell.width)}</text><text x="0" y="${line(i)}">${shortName(name, left - 10)}</text><rect class="self" ${box(i, i)}/>`,
  )
  const square = (row: string, column: string, value: number): Markup => {
    const [i, k] = [names.indexOf(row), names.indexOf(column)]
    return markup`<rect class="shade" fill-opacity="${tint(value).toFixed(2)}" ${box(k, i)}/><text class="mid" x="${middle(k)}" y="${line(i)}">${deltaEText(value)}</text>`
  }
  return { size: { width: x(names.length), height: y(names.length) }, heads, square }
}
