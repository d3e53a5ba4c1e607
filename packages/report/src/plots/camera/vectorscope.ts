import { type BarName, bars75, cos, hypot, sin, type YCbCr, ycbcrOfCode } from '@isochip/core'
import { scaleLinear } from 'd3-scale'
import { line } from 'd3-shape'
import { coordinate as c } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { PatchSignals } from '../../signal/patchSignals.ts'
import { boxHalf, skinDegrees } from '../../signal/scopeGraticule.ts'
import { picture } from '../frame.ts'

/** Room for the 75 % boxes and their names. */
const leastReach = 0.47

/** Side of every vectorscope, in its own units. */
export const scopeSide = 440

export interface VectorscopeData {
  readonly patches: readonly PatchSignals[]
  /** Where the camera, balanced, puts the six bars, in the order of `bars75`. */
  readonly hexagon?: readonly YCbCr[] | undefined
}

/**
 * Beyond this what a camera does before its match does not widen the scale: one wild camera would make everything
 * small. It is cut off at the edge, as on the instrument.
 */
const mostAsShot = 0.54

const furthest = (points: readonly YCbCr[]) =>
  points.reduce((most, { cb, cr }) => Math.max(most, Math.abs(cb), Math.abs(cr)), 0)

const asShot = ({ patches, hexagon = [] }: VectorscopeData) => [
  ...patches.map(({ ycbcr: { source } }) => source),
  ...hexagon,
]

/** How far the vectorscopes of a page reach in Cb and Cr: one scale for all of them, so that cameras compare. */
export function scopeReach(all: readonly VectorscopeData[]): number {
  const wanted = all.flatMap(({ patches }) =>
    patches.flatMap(({ ycbcr: { matched, target } }) => [matched, target]),
  )
  const before = Math.min(mostAsShot, 1.03 * furthest(all.flatMap(asShot)))
  return Math.max(leastReach, 1.03 * furthest(wanted), before)
}

/** Does anything lie beyond the edge? */
export const leavesScope = (data: VectorscopeData, reach: number): boolean => furthest(asShot(data)) > reach

/** Position on a vectorscope: +Cb to the right, +Cr up. */
export const vectorscopeScales = (reach: number) => ({
  x: scaleLinear([-reach, reach], [0, scopeSide]),
  y: scaleLinear([-reach, reach], [scopeSide, 0]),
})

/** What an instrument writes beside the boxes. Common practice, no source. */
const barLetters: Record<BarName, string> = {
  red: 'R',
  yellow: 'Yl',
  green: 'G',
  cyan: 'Cy',
  blue: 'B',
  magenta: 'Mg',
}

function places(reach: number) {
  const { x, y } = vectorscopeScales(reach)
  const outline = line<YCbCr>(
    (p) => x(p.cb),
    (p) => y(p.cr),
  ).digits(1)
  return {
    x,
    y,
    at: ({ cb, cr }: YCbCr) => `${c(x(cb))} ${c(y(cr))}`,
    closed: (points: readonly YCbCr[]) => `${outline(points)}Z`,
  }
}

/**
 * What every vectorscope of a page has in common, defined once in it: axes, skin line, and the boxes round the 75 %
 * bars with the hexagon that joins them, which is the target's. Then the plus that marks a patch's target; and the
 * letters of the bars, which stand outwards of their boxes, where patches seldom are, and above all marks.
 */
export function graticule(reach: number): Markup {
  const { x, y, at, closed } = places(reach)
  const targets = bars75.map(({ name, code }) => ({ name, ...ycbcrOfCode(code) }))
  const box = x(boxHalf) - x(-boxHalf)
  const skin = (skinDegrees * Math.PI) / 180
  const skinEnd = { y: 0, cb: 0.44 * cos(skin), cr: 0.44 * sin(skin) }
  return markup`<path class="aim" id="aim" d="M-4 0h8m-4-4v8"/><g id="graticule"><path class="grid" d="M${c(x(-0.44))} ${c(y(0))}H${c(x(0.44))}M${c(x(0))} ${c(y(-0.44))}V${c(y(0.44))}"/><text class="tick end" x="${scopeSide}" y="${c(y(0) - 6)}">Cb</text><text class="tick" x="${c(x(0) + 6)}" y="11">Cr</text><path class="skin" d="M${at({ y: 0, cb: 0, cr: 0 })}L${at(skinEnd)}"/><text class="tick end" x="${c(x(skinEnd.cb) - 4)}" y="${c(y(skinEnd.cr))}">skin</text><path class="hex" d="${closed(targets)}"/>${targets.map(
    ({ name, cb, cr }) =>
      markup`<rect class="box" data-box="${name}" x="${c(x(cb) - box / 2)}" y="${c(y(cr) - box / 2)}" width="${c(box)}" height="${c(box)}"/>`,
  )}</g><g id="bars">${targets.map(({ name, cb, cr }) => {
    const letters = barLetters[name]
    // Outwards from the middle until it is clear of the box, to the side or above.
    const [right, up] = [cb / hypot(cb, cr), cr / hypot(cb, cr)]
    const clear =
      2 + Math.min((box / 2 + 4.5 * letters.length) / Math.abs(right), (box / 2 + 6) / Math.abs(up))
    return markup`<text class="mid" data-bar="${name}" x="${c(x(cb) + clear * right)}" y="${c(y(cr) - clear * up + 5)}">${letters}</text>`
  })}</g>`
}

/**
 * Colour difference signals of BT.709 over the page's `graticule`. Open circle: as shot; filled: matched; plus:
 * target. The dashed hexagon is what the camera's primaries span before the matrix.
 */
export function vectorscope({ patches, hexagon }: VectorscopeData, reach: number, label: string): Markup {
  const { x, y, at, closed } = places(reach)
  const marks = patches.map(
    ({ index, ycbcr: { source, matched, target }, colour }) =>
      markup`<g data-p="${index}"><path class="way" d="M${at(source)}L${at(matched)}"/><use href="#aim" x="${c(x(target.cb))}" y="${c(y(target.cr))}"/><circle class="as" cx="${c(x(source.cb))}" cy="${c(y(source.cr))}"/><circle class="mt" fill="${colour.matched}" cx="${c(x(matched.cb))}" cy="${c(y(matched.cr))}"/></g>`,
  )
  return picture('scope', label, { width: scopeSide, height: scopeSide }, [
    markup`<use href="#graticule"/>`,
    hexagon && markup`<path class="hex own" d="${closed(hexagon)}"/>`,
    marks,
    markup`<use href="#bars"/>`,
  ])
}
