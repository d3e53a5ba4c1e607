import type { ResidualBudget } from '@isochip/core'
import { scaleLinear } from 'd3-scale'
import { stack } from 'd3-shape'
import { coordinate as c, deltaEText, shareText } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { Limit } from '../../verdict.ts'
import { limitWords } from '../../words.ts'
import { picture } from '../frame.ts'
import { shortName } from '../shortName.ts'

export interface BudgetRow {
  readonly camera: string
  readonly mean: number
  readonly budget: ResidualBudget
}

/** In the order in which they stand in the bar: what the set can cure first, what nobody can last. */
export const budgetOrder: readonly Limit[] = [
  'noise',
  'clipping',
  'unevenness',
  'curve',
  'foreign',
  'spectral',
  'undetermined',
]

const row = 34
const margin = { left: 112, right: 58, top: 46 }

/** Share 0…1 to the right. */
export const budgetScale = (width: number) => scaleLinear([0, 1], [margin.left, width - margin.right])

/**
 * What the remaining colour difference of each camera is made of, as shares of its mean ΔE00, with that
 * beside it. Each part has a tint, a texture and, where there is room, its share in figures.
 */
export function budgetBars(rows: readonly BudgetRow[], width: number, label: string): Markup {
  const x = budgetScale(width)
  const parts = stack<unknown, BudgetRow, Limit>()
    .keys([...budgetOrder])
    .value(({ budget }, key) => budget[key])([...rows])
  const slot = (i: number) =>
    budgetOrder.slice(0, i).reduce((at, key) => at + 40 + 6.8 * limitWords[key].short.length, 0)
  const legend = budgetOrder.map(
    (key, i) =>
      markup`<rect class="part ${key}" x="${c(slot(i))}" y="4" width="14" height="14"/><rect class="texture" fill="url(#texture-${key})" x="${c(slot(i))}" y="4" width="14" height="14"/><text x="${c(slot(i) + 19)}" y="16">${limitWords[key].short}</text>`,
  )
  const bars = parts.map((part) =>
    part.map(([from, to], i) => {
      const at = { x: x(from), y: margin.top + i * row, width: Math.max(0, x(to) - x(from)) }
      const box = markup`x="${c(at.x)}" y="${at.y}" width="${c(at.width)}" height="20"`
      return markup`<rect class="part ${part.key}" ${box}/><rect class="texture" fill="url(#texture-${part.key})" ${box}/>${
        at.width > 44 &&
        markup`<rect class="plate" x="${c(at.x + at.width / 2 - 19)}" y="${at.y + 3}" width="38" height="14" rx="3"/><text class="mid" x="${c(at.x + at.width / 2)}" y="${at.y + 14.5}">${shareText(to - from)}</text>`
      }`
    }),
  )
  const names = rows.map(
    ({ camera, mean }, i) =>
      markup`<text x="0" y="${margin.top + i * row + 15}">${shortName(camera, margin.left - 6)}</text><text class="end" x="${width}" y="${margin.top + i * row + 15}">${deltaEText(mean)}</text>`,
  )
  const head = markup`<text class="end faint" x="${width}" y="${margin.top - 8}">mean</text>`
  return picture('budget', label, { width, height: margin.top + rows.length * row }, [
    legend,
    head,
    bars,
    names,
  ])
}
