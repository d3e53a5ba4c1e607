import { scaleLinear } from 'd3-scale'
import { coordinate as c, deltaEText } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { Tolerance } from '../../showReport.ts'
import type { FittedSignals } from '../../signal/patchSignals.ts'
import { picture, stepsAxis } from '../frame.ts'
import { shortName } from '../shortName.ts'

const width = 520
const row = 17
/** The style places bars at this left margin. */
const margin = { left: 124, right: 54, top: 40, bottom: 24 }

/** The ground of a row, to be pointed at; defined once a page. */
export const rowShape: Markup = markup`<path id="row" class="hit" d="M0 0h${width}v${row}H0"/>`

/** Worst first; patches that had no part in the fit come last. */
function worstFirst(patches: readonly FittedSignals[]): FittedSignals[] {
  const out = (p: FittedSignals) => (p.result.excluded === undefined ? 0 : 1)
  return [...patches].sort((a, b) => out(a) - out(b) || b.result.dE00.after - a.result.dE00.after)
}

/** ΔE00 to the right: reaches the worst of matched and left out, and the tolerance. */
export function residualScale(patches: readonly FittedSignals[], tolerance: Tolerance) {
  const used = patches.map(({ result }) => Math.max(result.dE00.after, result.leaveOneOut ?? 0))
  const most = Math.max(tolerance.max, ...used) * 1.06
  return scaleLinear([0, most], [margin.left, width - margin.right])
}

/**
 * ΔE00 of every patch after the match as bars, worst first; a tick where the patch lands under a match that was
 * fitted without it; an open circle where it was as shot, or its figure at the edge when that is off the scale; and the two
 * limits of the tolerance as lines.
 */
export function residualBars(patches: readonly FittedSignals[], tolerance: Tolerance, label: string): Markup {
  const x = residualScale(patches, tolerance)
  const sorted = worstFirst(patches)
  const bottom = margin.top + sorted.length * row
  const [, most] = x.domain() as [number, number]
  const limit = (at: number, name: string, side: 'end' | 'start') =>
    markup`<path class="limit" d="M${c(x(at))} ${margin.top - 4}V${c(bottom)}"/><text class="${side}" x="${c(x(at))}" y="${margin.top - 10}">${name} ${deltaEText(at)}</text>`
  const one = ({ index, name, colour, result }: FittedSignals, i: number) => {
    const y = margin.top + i * row
    const { before, after } = result.dE00
    const beyond = !(after <= tolerance.max)
    const left = result.leaveOneOut
    return markup`<g data-p="${index}" transform="translate(0,${y})"><use href="#row"/><rect class="chip" fill="${colour.target}"/><text x="16" y="13">${shortName(name, margin.left - 22)}</text><rect class="mt${beyond ? ' beyond' : ''}${result.excluded === undefined ? '' : ' out'}" width="${c(Math.max(0, x(after) - margin.left))}"/>${
      left !== undefined && markup`<path class="loo" d="M${c(x(Math.min(left, most)))} 2v13"/>`
    }${before <= most && markup`<circle class="as" cx="${c(x(before))}"/>`}<text class="as" x="${width}" y="13">${before > most && '→ '}${deltaEText(before)}</text></g>`
  }
  return picture('bars', label, { width, height: bottom + margin.bottom }, [
    stepsAxis(x, margin.top, bottom, x.ticks(6), String),
    markup`<text class="end faint" x="${width}" y="12">as shot</text>`,
    limit(tolerance.mean, 'mean', 'end'),
    tolerance.max !== tolerance.mean && limit(tolerance.max, 'worst', 'start'),
    sorted.map(one),
  ])
}
