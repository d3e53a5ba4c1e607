import type { Mat3 } from '@isochip/core'
import { scaleLinear } from 'd3-scale'
import { coordinate as c, gainText, termText } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import { picture, stepsAxis } from '../frame.ts'

const row = 19
const width = 440
const margin = { left: 64, right: 116, top: 6, bottom: 26 }

export type Intervals = readonly (readonly (readonly [low: number, high: number])[])[]

export const matrixTermsScale = (intervals: Intervals) => {
  const ends = intervals.flat(2)
  return scaleLinear([Math.min(0, ...ends), Math.max(0, ...ends)], [margin.left, width - margin.right]).nice(
    5,
  )
}

/**
 * The nine terms of a matrix, row by row: a tick at its value, a band over its interval, zero as a line, so that one
 * sees which terms are there at all.
 */
export function matrixTerms(
  matrix: Mat3,
  intervals: Intervals,
  names: readonly string[],
  label: string,
): Markup {
  const x = matrixTermsScale(intervals)
  const bottom = margin.top + 9 * row
  const terms = matrix.flat().map((value, i) => {
    const [low, high] = intervals[Math.floor(i / 3)]![i % 3]!
    const y = margin.top + (i + 0.5) * row
    return markup`<text x="0" y="${c(y + 4.5)}">${names[i]}</text><path class="span" d="M${c(x(low))} ${c(y)}H${c(x(high))}"/><path class="value" d="M${c(x(value))} ${c(y - 6)}v12"/><text class="end" x="${width}" y="${c(y + 4.5)}">${termText(value)} ± ${gainText((high - low) / 2)}</text>`
  })
  const zero = markup`<path class="zero" d="M${c(x(0))} ${margin.top}V${bottom}"/>`
  const ticks = stepsAxis(x, margin.top, bottom, x.ticks(5), (tick) => termText(tick).replace(/\.?0+$/, ''))
  return picture('terms', label, { width, height: bottom + margin.bottom }, [ticks, zero, terms])
}
