import type { Vec3 } from '@isochip/core'
import { scaleLinear } from 'd3-scale'
import { coordinate as c } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import { preferredRange } from '../../signal/levels.ts'
import type { Trio } from '../../signal/patchSignals.ts'
import { picture } from '../frame.ts'
import type { ChartCells } from './chartCells.ts'

const panel = { width: 330, gap: 22 }
const margin = { left: 46, right: 62, top: 26, bottom: 8 }
const size = {
  width: margin.left + 3 * panel.width + 2 * panel.gap + margin.right,
  height: 330,
}

/** What 10 bits of a narrow-range signal can carry besides sync: codes 4 to 1019. */
const carried = { low: (4 - 64) / 876, high: (1019 - 64) / 876 }

/** Level 0…1 upwards; what lies beyond is cut off, as on the instrument. */
export const waveformScale = scaleLinear(
  [carried.low, carried.high],
  [size.height - margin.bottom, margin.top],
)

/** 10-bit narrow-range code of a level: ITU-R BT.709-6, item 4.6. */
const code10 = (level: number) => Math.round(64 + 876 * level)

const left = (channel: number) => margin.left + channel * (panel.width + panel.gap)

const channels = ['r', 'g', 'b'] as const

/** Where the trace of a patch begins and ends in each channel: its place across the chart. */
export function waveformSpan(
  index: number,
  { columns, at }: Pick<ChartCells, 'columns' | 'at'>,
): { from: number; length: number } {
  const column = panel.width / columns
  return { from: (at[index]![0] + 0.12) * column, length: 0.76 * column }
}

/** What every waveform of a page has in common, defined once in it: levels in percent at the left, in 10 bits at the right. */
export const waveformGraticule: Markup = markup`<linearGradient id="rgb" gradientUnits="userSpaceOnUse" x1="0" x2="${size.width}" y1="0" y2="0">${channels.flatMap(
  (name, i) =>
    [left(i) - panel.gap / 2, left(i) + panel.width + panel.gap / 2].map(
      (x) => markup`<stop class="${name}" offset="${(x / size.width).toFixed(4)}"/>`,
    ),
)}</linearGradient><g id="parade">${[0, 0.2, 0.4, 0.6, 0.8, 1].map((level) => {
  const y = waveformScale(level)
  return markup`<path class="${level === 0 || level === 1 ? 'zero' : 'grid'}" d="${channels.map((_, i) => `M${c(left(i))} ${c(y)}h${panel.width}`).join('')}"/><text class="tick end" x="${margin.left - 6}" y="${c(y + 4)}">${Math.round(100 * level)}</text><text class="tick" x="${size.width - margin.right + 6}" y="${c(y + 4)}">${code10(level)}</text>`
})}<text class="tick end" x="${margin.left - 6}" y="14">%</text><text class="tick" x="${size.width - margin.right + 6}" y="14">10 bit</text>${channels.map(
  (name, i) =>
    markup`<text class="mid ${name}" x="${c(left(i) + panel.width / 2)}" y="14">${name.toUpperCase()}′</text>`,
)}</g><path id="legal" class="limit" d="${[preferredRange.low, preferredRange.high].flatMap((level) => channels.map((_, i) => `M${c(left(i))} ${c(waveformScale(level))}h${panel.width}`)).join('')}"/>`

/** A patch with its R′G′B′, 0 at black and 1 at peak. */
export interface WaveformPatch {
  /** Place in the chart. */
  readonly index: number
  readonly code: Trio<Vec3>
}

/**
 * The chart as a waveform parade: R′, G′ and B′ of every patch at its place across the chart. Dashed: as shot; broad:
 * matched; the thin line that reaches out at both ends: target.
 *
 * @param legal with the preferred range of EBU R 103
 */
export function waveform(
  patches: readonly WaveformPatch[],
  cells: Pick<ChartCells, 'columns' | 'at'>,
  legal: boolean,
  label: string,
): Markup {
  const [bottom, top] = waveformScale.range() as [number, number]
  const one = ({ index, code }: WaveformPatch) => {
    const { from, length } = waveformSpan(index, cells)
    const trace = (of: Vec3, more: number) =>
      of
        .map((level, i) => {
          const y = Math.min(bottom, Math.max(top, waveformScale(level)))
          return `M${c(left(i) + from - more)} ${c(y)}h${c(length + 2 * more)}`
        })
        .join('')
    return markup`<g data-p="${index}"><path class="as" d="${trace(code.source, 0)}"/><path class="mt" d="${trace(code.matched, 0)}"/><path class="aim" d="${trace(code.target, 3)}"/></g>`
  }
  return picture('waveform', label, size, [
    markup`<use href="#parade"/>`,
    legal && markup`<use href="#legal"/>`,
    patches.map(one),
  ])
}
