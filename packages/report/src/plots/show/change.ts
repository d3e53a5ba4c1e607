import type { Summary } from '@isochip/core'
import { scaleSqrt } from 'd3-scale'
import { coordinate as c } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { Tolerance } from '../../showReport.ts'
import { picture } from '../frame.ts'

const size = { width: 150, height: 30 }

/** Square-root scale, so that figures near the tolerance stay apart while the worst as shot still fits. */
export const changeScale = (most: number) => scaleSqrt([0, most], [5, size.width - 5])

/**
 * How far a match came, in a line of text: mean above, worst below; open circle as shot, filled matched, a
 * tick at the tolerance. `most` is the largest figure of the whole page, so that lines compare.
 */
export function change(
  before: Summary,
  after: Summary,
  tolerance: Tolerance,
  most: number,
  label: string,
): Markup {
  const x = changeScale(most)
  const track = (key: 'mean' | 'max', y: number) =>
    markup`<path class="track" d="M${c(x(0))} ${y}H${c(x(most))}"/><path class="way" d="M${c(x(before[key]))} ${y}H${c(x(after[key]))}"/><path class="limit" d="M${c(x(tolerance[key]))} ${y - 6}v12"/><circle class="as" cx="${c(x(before[key]))}" cy="${y}" r="3.5"/><circle class="mt" cx="${c(x(after[key]))}" cy="${y}" r="3.5"/>`
  return picture('change', label, size, [track('mean', 8), track('max', 22)])
}
