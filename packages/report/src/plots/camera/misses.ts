import type { YCbCr } from '@isochip/core'
import { hypot } from '@isochip/core'
import { scaleLinear } from 'd3-scale'
import { coordinate as c } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { PatchSignals } from '../../signal/patchSignals.ts'
import { picture } from '../frame.ts'

/** What the misses are drawn on: wide enough for every target. */
export function missesScales(patches: readonly PatchSignals[], side: number) {
  const all = patches.flatMap(({ ycbcr }) => [Math.abs(ycbcr.target.cb), Math.abs(ycbcr.target.cr)])
  const reach = Math.max(0.05, ...all) * 1.25
  return { x: scaleLinear([-reach, reach], [0, side]), y: scaleLinear([-reach, reach], [side, 0]) }
}

/** How much longer than to scale misses are drawn: the longest becomes at most half of the picture's half. */
export function missFactor(patches: readonly PatchSignals[]): number {
  const [, reach] = missesScales(patches, 1).x.domain() as [number, number]
  const lengths = patches.map(({ ycbcr: { target, matched } }) =>
    hypot(matched.cb - target.cb, matched.cr - target.cr),
  )
  const room = reach / 2 / Math.max(...lengths, 1e-9)
  return [50, 20, 10, 5, 2].find((factor) => factor <= room) ?? 1
}

/**
 * Direction of the error: from each patch's target on the Cb/Cr plane a line towards where the match puts it,
 * `missFactor` times as long as to scale. Lines that all lean one way are a cast; lines that turn about the centre are a hue
 * error; lines without order are what no matrix removes.
 */
export function misses(patches: readonly PatchSignals[], side: number, label: string): Markup {
  const { x, y } = missesScales(patches, side)
  const factor = missFactor(patches)
  const beyond = (target: YCbCr, matched: YCbCr): YCbCr => ({
    y: 0,
    cb: target.cb + factor * (matched.cb - target.cb),
    cr: target.cr + factor * (matched.cr - target.cr),
  })
  const marks = patches.map(({ index, ycbcr: { target, matched }, colour }) => {
    const end = beyond(target, matched)
    return markup`<g data-p="${index}"><path class="miss" d="M${c(x(target.cb))} ${c(y(target.cr))}L${c(x(end.cb))} ${c(y(end.cr))}"/><circle class="spot" fill="${colour.target}" cx="${c(x(target.cb))}" cy="${c(y(target.cr))}"/></g>`
  })
  const [left, right] = x.domain() as [number, number]
  const cross = markup`<path class="grid" d="M${c(x(left))} ${c(y(0))}H${c(x(right))}M${c(x(0))} ${c(y(left))}V${c(y(right))}"/><text class="tick end" x="${c(side - 4)}" y="${c(y(0) - 5)}">Cb</text><text class="tick" x="${c(x(0) + 5)}" y="12">Cr</text>`
  return picture('misses', label, { width: side, height: side }, [cross, marks])
}
