import { scaleLinear } from 'd3-scale'
import { coordinate as c } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import { picture, stepsAxis } from '../frame.ts'
import { shortName } from '../shortName.ts'

const row = 24
const margin = { left: 170, right: 14, top: 8, bottom: 26 }

export interface AnglesRow {
  readonly name: string
  /** Degrees, from the smallest. */
  readonly angles: readonly number[]
}

/** Degrees to the right; at least five, so that noise does not fill the picture. */
export const anglesScale = (rows: readonly AnglesRow[], width: number) =>
  scaleLinear(
    [0, Math.max(5, ...rows.flatMap(({ angles }) => angles)) * 1.05],
    [margin.left, width - margin.right],
  )

/** The three principal angles of each pair on a line: smallest open, middle grey, largest full. */
export function principalAngleDots(rows: readonly AnglesRow[], width: number, label: string): Markup {
  const x = anglesScale(rows, width)
  const bottom = margin.top + rows.length * row
  const lines = rows.map(({ name, angles }, i) => {
    const y = margin.top + (i + 0.5) * row
    return markup`<text x="0" y="${c(y + 4.5)}">${shortName(name, margin.left - 10)}</text><path class="way" d="M${c(x(angles[0] ?? 0))} ${c(y)}H${c(x(angles.at(-1) ?? 0))}"/>${angles.map(
      (angle, k) => markup`<circle class="angle a${k + 1}" cx="${c(x(angle))}" cy="${c(y)}" r="4.5"/>`,
    )}`
  })
  return picture('angles', label, { width, height: bottom + margin.bottom }, [
    stepsAxis(x, margin.top, bottom, x.ticks(6), (degrees) => `${degrees}°`),
    lines,
  ])
}
