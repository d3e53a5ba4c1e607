import { scaleLinear } from 'd3-scale'
import { coordinate as c, deltaEText } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import { picture } from '../frame.ts'
import { shortName } from '../shortName.ts'

const cell = { width: 66, height: 34 }
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
  const tint = scaleLinear([0, Math.max(1e-9, ...left.map(({ mean }) => mean))], [0, 0.42])
  const x = (i: number) => margin.left + i * cell.width
  const y = (i: number) => margin.top + i * cell.height
  const box = (column: number, row: number) =>
    markup`x="${c(x(column) + 1)}" y="${c(y(row) + 1)}" width="${cell.width - 2}" height="${cell.height - 2}"`
  const place = new Map(names.map((name, i) => [name, i]))
  const squares = left.map(({ from, to, mean }) => {
    const [row, column] = [place.get(from)!, place.get(to)!]
    return markup`<rect class="shade" fill-opacity="${tint(mean).toFixed(2)}" ${box(column, row)}/><text class="mid" x="${c(x(column) + cell.width / 2)}" y="${c(y(row) + cell.height / 2 + 4.5)}">${deltaEText(mean)}</text>`
  })
  const heads = names.map(
    (name, i) =>
      markup`<text class="mid" x="${c(x(i) + cell.width / 2)}" y="${margin.top - 10}">${shortName(name, cell.width)}</text><text x="0" y="${c(y(i) + cell.height / 2 + 4.5)}">${shortName(name, margin.left - 10)}</text><rect class="self" ${box(i, i)}/>`,
  )
  const corner = markup`<text class="faint" x="0" y="${margin.top - 10}">from</text><text class="faint" x="${margin.left}" y="14">to</text>`
  return picture('pairs', label, { width: x(names.length), height: y(names.length) }, [
    corner,
    heads,
    squares,
  ])
}
