import { scaleLinear } from 'd3-scale'
import { line } from 'd3-shape'
import { coordinate as c } from '../digits.ts'
import { type Markup, markup } from '../page/markup.ts'
import { bars75, boxHalf, skinDegrees } from '../signal/bars75.ts'
import type { PatchSignals } from '../signal/patchSignals.ts'
import { type YCbCr, ycbcrOfCode } from '../signal/ycbcr.ts'
import { picture } from './frame.ts'

/** Room for the 75 % boxes and their names; more where a signal goes further. */
const leastReach = 0.47

function reachOf({ patches, hexagon = [] }: VectorscopeData): number {
  const points = [
    ...patches.flatMap(({ ycbcr: { source, matched, target } }) => [source, matched, target]),
    ...hexagon,
  ]
  return Math.max(leastReach, ...points.flatMap(({ cb, cr }) => [1.03 * Math.abs(cb), 1.03 * Math.abs(cr)]))
}

/** Position on a vectorscope of the given side: +Cb to the right, +Cr up. */
export function vectorscopeScales(data: VectorscopeData, side: number) {
  const reach = reachOf(data)
  return {
    x: scaleLinear([-reach, reach], [0, side]),
    y: scaleLinear([-reach, reach], [side, 0]),
  }
}

export interface VectorscopeData {
  readonly patches: readonly PatchSignals[]
  /** Where the camera, balanced, puts the six bars, in the order of `bars75`. */
  readonly hexagon?: readonly YCbCr[] | undefined
}

/**
 * Colour difference signals of BT.709. Ring: as shot; disc: matched; cross: target. The boxes stand round the 75 %
 * bars; their hexagon is the target's, the broken one is what the camera's primaries span before the matrix.
 */
export function vectorscope(data: VectorscopeData, side: number, label: string): Markup {
  const { patches, hexagon } = data
  const { x, y } = vectorscopeScales(data, side)
  const at = ({ cb, cr }: YCbCr) => `${c(x(cb))} ${c(y(cr))}`
  const outline = line<YCbCr>(
    (p) => x(p.cb),
    (p) => y(p.cr),
  ).digits(1)
  const closed = (points: readonly YCbCr[]) => `${outline(points)}Z`
  const targets = bars75.map(({ name, code }) => ({ name, ...ycbcrOfCode(code) }))
  const box = x(boxHalf) - x(-boxHalf)
  const skin = (skinDegrees * Math.PI) / 180
  const skinEnd = { y: 0, cb: 0.4 * Math.cos(skin), cr: 0.4 * Math.sin(skin) }

  const graticule = markup`<path class="grid" d="M${c(x(-0.44))} ${c(y(0))}H${c(x(0.44))}M${c(x(0))} ${c(y(-0.44))}V${c(y(0.44))}"/><text class="tick" x="${c(x(0.375))}" y="${c(y(0) - 5)}">Cb</text><text class="tick" x="${c(x(0) + 5)}" y="${c(y(0.42))}">Cr</text><path class="skin" d="M${at({ y: 0, cb: 0, cr: 0 })}L${at(skinEnd)}"/><text class="tick end" x="${c(x(skinEnd.cb) - 3)}" y="${c(y(skinEnd.cr) - 3)}">skin</text><path class="hex" d="${closed(targets)}"/>${
    hexagon && markup`<path class="hex own" d="${closed(hexagon)}"/>`
  }${targets.map(({ name, cb, cr }) => {
    const below = cr < 0
    return markup`<rect class="box" data-box="${name}" x="${c(x(cb) - box / 2)}" y="${c(y(cr) - box / 2)}" width="${c(box)}" height="${c(box)}"/><text class="mid" x="${c(x(cb))}" y="${c(below ? y(cr) + box / 2 + 14 : y(cr) - box / 2 - 6)}">${name}</text>`
  })}`

  const marks = patches.map(
    ({ index, ycbcr, colour }) =>
      markup`<g data-p="${index}"><path class="way" d="M${at(ycbcr.source)}L${at(ycbcr.matched)}"/><path class="aim" d="M${at(ycbcr.target)}m-4 0h8m-4-4v8"/><circle class="as" cx="${c(x(ycbcr.source.cb))}" cy="${c(y(ycbcr.source.cr))}" r="3"/><circle class="mt" fill="${colour.matched}" cx="${c(x(ycbcr.matched.cb))}" cy="${c(y(ycbcr.matched.cr))}" r="3.5"/></g>`,
  )
  return picture('scope', label, { width: side, height: side }, [graticule, marks])
}
