import { coordinate as c, deltaEText } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { PatchSignals } from '../../signal/patchSignals.ts'
import { picture } from '../frame.ts'
import type { ChartCells } from './chartCells.ts'

const cell = { width: 68, height: 68, field: 42, gap: 8 }

const inner = cell.width - cell.gap
const half = cell.field / 2

/** The three fields of a patch, defined once a page: the one as shot runs on under the matched one. */
export const fieldShapes: Markup = markup`<path id="fa" d="M0 0h${inner}v${half}H0"/><path id="fm" d="M${inner / 2} 0h${inner / 2}v${half}h-${inner / 2}"/><path id="ft" d="M0 ${half}h${inner}V${cell.field}H0"/>`

/**
 * The chart, patch by patch: as shot above left, matched above right, the target below both. Each of the three
 * fields touches the other two, so that the eye judges every edge. Below stands ΔE00 after the match, or
 * as shot where the page shows that stage alone; a patch beyond `limit` is marked, one that had no part in the fit is
 * struck through. Of the reference camera there are only its colours.
 */
export function fields(
  patches: readonly PatchSignals[],
  cells: ChartCells,
  limit: number,
  label: string,
): Markup {
  const { width, height, field, gap } = cell
  const one = ({ index, name, role, colour, excluded, result }: PatchSignals) => {
    const [column, row] = cells.at[index]!
    const x = column * width + gap / 2
    const y = row * height + gap / 2
    const figures = result && { before: deltaEText(result.dE00.before), after: deltaEText(result.dE00.after) }
    const beyond = result !== undefined && !(result.dE00.after <= limit)
    const note = excluded === undefined ? '' : ` (left out: ${excluded})`
    return markup`<g data-p="${index}" transform="translate(${c(x)},${c(y)})"><title>${name}${role && ` (${role})`}${figures && `: ${figures.before} → ${figures.after}`}${note}</title><use href="#fa" fill="${colour.source}"/><use href="#fm" class="mt" fill="${colour.matched}"/><use href="#ft" fill="${colour.target}"/>${
      excluded !== undefined && markup`<path class="struck" d="M0 ${field}L${inner} 0"/>`
    }${beyond && markup`<path class="beyond" d="M2 ${field + 15}h9l-4.5 -9z"/>`}${
      figures &&
      markup`<text${beyond && markup` class="beyond" x="6"`}>${figures.after}</text><text class="b">${figures.before}</text>`
    }</g>`
  }
  const size = { width: cells.columns * width, height: cells.rows * height }
  return picture('fields', label, size, patches.map(one))
}
