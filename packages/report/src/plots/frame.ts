import type { ScaleLinear } from 'd3-scale'
import { coordinate as c } from '../digits.ts'
import { type Content, type Markup, markup } from '../page/markup.ts'

/** Width and height of a picture in its own units; on the page it shrinks to its column. */
export interface Size {
  readonly width: number
  readonly height: number
}

/**
 * A picture: one image to a screen reader, with `label` as its text. The numbers behind it stand in a table beside
 * it. Colours come from the page's style, by class, so that light, dark and paper are one drawing.
 */
export function picture(kind: string, label: string, { width, height }: Size, content: Content): Markup {
  return markup`<svg class="plot ${kind}" role="img" aria-label="${label}" viewBox="0 0 ${c(width)} ${c(height)}" width="${c(width)}" height="${c(height)}">${content}</svg>`
}

export type Scale = ScaleLinear<number, number>

/** Horizontal grid lines with their figures at the left. */
export function levelsAxis(
  y: Scale,
  x0: number,
  x1: number,
  ticks: readonly number[],
  text: (v: number) => string,
) {
  return ticks.map(
    (tick) =>
      markup`<path class="${tick === 0 ? 'zero' : 'grid'}" d="M${c(x0)} ${c(y(tick))}H${c(x1)}"/><text class="tick end" x="${c(x0 - 6)}" y="${c(y(tick) + 4)}">${text(tick)}</text>`,
  )
}

/** Vertical grid lines with their figures below. */
export function stepsAxis(
  x: Scale,
  y0: number,
  y1: number,
  ticks: readonly number[],
  text: (v: number) => string,
) {
  return ticks.map(
    (tick) =>
      markup`<path class="grid" d="M${c(x(tick))} ${c(y0)}V${c(y1)}"/><text class="tick mid" x="${c(x(tick))}" y="${c(y1 + 16)}">${text(tick)}</text>`,
  )
}
