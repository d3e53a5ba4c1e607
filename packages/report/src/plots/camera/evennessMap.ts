import { scaleSqrt } from 'd3-scale'
import { coordinate as c, stopsText } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import { picture } from '../frame.ts'
import type { ChartCells } from './chartCells.ts'

const cell = { width: 62, height: 54 }

/** Radius of a spot by its distance from the mean, so that its area says how many stops. */
const evennessRadius = (field: readonly number[]) =>
  scaleSqrt([0, Math.max(0.1, ...field.map(Math.abs))], [0, 16])

/**
 * The light over the chart, seen from the camera: a filled circle where it is brighter than the mean, an open one where
 * it is darker, larger the more; stops below.
 */
export function evennessMap(field: readonly number[], cells: ChartCells, label: string): Markup {
  const radius = evennessRadius(field)
  const spots = field.map((stops, i) => {
    const [column, row] = cells.at[i]!
    const x = column * cell.width + cell.width / 2
    const y = row * cell.height + 20
    return markup`<g data-p="${i}" transform="translate(${c(x)},${c(y)})"><circle${stops < 0 && markup` class="darker"`} r="${c(radius(Math.abs(stops)))}"/><text>${stopsText(stops)}</text></g>`
  })
  const size = { width: cells.columns * cell.width, height: cells.rows * cell.height }
  return picture('evenness', label, size, spots)
}
