import { scaleLinear } from 'd3-scale'
import { coordinate as c, deltaEText } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { Pair } from '../../pairs.ts'
import { picture } from '../frame.ts'

const cell = { width: 62, height: 34 }
const margin = { left: 96, top: 30 }

/** Share of full tint of a cell: kept low, so that its figure stays readable. */
const pairTint = (pairs: readonly Pair[]) =>
  scaleLinear([0, Math.max(1e-9, ...pairs.flatMap(({ before, after }) => [before, after]))], [0, 0.42])

/**
 * Every camera against every other: mean ΔE00 as shot below the diagonal, matched above it. The darker, the further
 * apart.
 */
export function pairMatrix(cameras: readonly string[], pairs: readonly Pair[], label: string): Markup {
  const tint = pairTint(pairs)
  const x = (i: number) => margin.left + i * cell.width
  const y = (i: number) => margin.top + i * cell.height
  const clip = (name: string, most: number) =>
    Array.from(name).length <= most
      ? name
      : `${Array.from(name)
          .slice(0, most - 1)
          .join('')}…`
  const square = (column: number, row: number, stage: 'before' | 'after', value: number) =>
    markup`<g class="${stage === 'before' ? 'as' : 'mt'}"><rect class="shade" fill-opacity="${tint(value).toFixed(2)}" x="${c(x(column) + 1)}" y="${c(y(row) + 1)}" width="${cell.width - 2}" height="${cell.height - 2}"/><text class="mid" x="${c(x(column) + cell.width / 2)}" y="${c(y(row) + cell.height / 2 + 4.5)}">${deltaEText(value)}</text></g>`
  const place = new Map(cameras.map((name, i) => [name, i]))
  const squares = pairs.map(({ a, b, before, after }) => {
    const i = place.get(a)!
    const k = place.get(b)!
    return [square(k, i, 'after', after), square(i, k, 'before', before)]
  })
  const names = cameras.map(
    (name, i) =>
      markup`<text class="mid" x="${c(x(i) + cell.width / 2)}" y="${margin.top - 10}">${clip(name, 9)}</text><text x="0" y="${c(y(i) + cell.height / 2 + 4.5)}">${clip(name, 13)}</text><rect class="self" x="${c(x(i) + 1)}" y="${c(y(i) + 1)}" width="${cell.width - 2}" height="${cell.height - 2}"/>`,
  )
  const size = { width: x(cameras.length), height: y(cameras.length) }
  return picture('pairs', label, size, [names, squares])
}
