import { deltaEText } from '../digits.ts'
import type { ShowReport } from '../showReport.ts'
import { type Markup, markup } from './markup.ts'

/** How the cameras were lined up before the show; nothing where they were not. */
export function lineUpSection(
  { lineUp, tolerance }: ShowReport,
  place: ReadonlyMap<string, number>,
): Markup | undefined {
  if (lineUp === undefined) return undefined
  const row = ({ camera, trend, withLut, expected }: (typeof lineUp.cameras)[number]) => {
    const last = trend.at(-1)!
    const text = trend.map(deltaEText).join(' → ')
    const now = last > tolerance.mean ? markup`<b class="outside">${text} !</b>` : text
    const at = place.get(camera)
    return markup`<tr${at !== undefined && markup` class="c${at}"`}><th scope="row"><bdi>${camera}</bdi><td>${now}<td>${deltaEText(withLut)}<td>${deltaEText(expected)}`
  }
  return markup`<section class="changes"><h3>Line-up</h3><p class="facts">Mean ΔE00 of every shot before the show, in setup <bdi>${lineUp.setup}</bdi>, without a LUT; from lineup.json.</p><div class="wide" tabindex="0" role="region" aria-label="Line-up"><table class="numbers"><thead><tr><th scope="col">camera<th scope="col">shots<th scope="col">a LUT would leave<th scope="col">expected after the last advice<tbody>${lineUp.cameras.map(row)}</table></div></section>`
}
