import type { Vec3 } from '@isochip/core'
import { scaleLinear } from 'd3-scale'
import { line, symbol, symbolCircle, symbolSquare, symbolTriangle } from 'd3-shape'
import { coordinate as c, percentText, signedPercentText } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { PatchSignals, Trio } from '../../signal/patchSignals.ts'
import { levelsAxis, picture, type Size, stepsAxis } from '../frame.ts'

/** Each channel has a colour, a shape and a letter. */
const channels = [
  { name: 'R', kind: 'r', shape: symbolCircle },
  { name: 'G', kind: 'g', shape: symbolSquare },
  { name: 'B', kind: 'b', shape: symbolTriangle },
] as const

/** The marks of the channels as shot and matched, which the style puts on the lines; defined once a page. */
export const greyMarks: Markup = markup`${channels.map(({ kind, shape }) =>
  (['as', 'mt'] as const).map(
    (stage) =>
      markup`<marker id="${stage}-${kind}" class="grey ${kind}" markerUnits="userSpaceOnUse" overflow="visible"><path class="${stage}" d="${symbol(shape, 34).digits(1)() ?? ''}"/></marker>`,
  ),
)}`

const margin = { left: 44, right: 12, top: 10, bottom: 38 }

/** The neutral patches from dark to light. */
export function greySteps(patches: readonly PatchSignals[]): PatchSignals[] {
  return patches.filter((p) => p.neutral).sort((a, b) => a.code.target[1] - b.code.target[1])
}

/** Level that the target has, as the mean of its R′G′B′: the place of a step along the scale. */
export const stepLevel = ({ code: { target } }: PatchSignals) => (target[0] + target[1] + target[2]) / 3

function niceReach(values: readonly number[], least: number): number {
  return Math.max(least, ...values.map(Math.abs)) * 1.08
}

/** Scales of `greyLevels`. */
export function greyLevelScales(steps: readonly PatchSignals[], { width, height }: Size) {
  const all = steps.flatMap(({ code }) => [...code.source, ...code.matched, ...code.target])
  const domain = [Math.min(0, ...all), Math.max(1, ...all)]
  return {
    x: scaleLinear(domain, [margin.left, width - margin.right]),
    y: scaleLinear(domain, [height - margin.bottom, margin.top]),
  }
}

/** Scales of `greyDeviation`: y is the signed difference from the target. */
export function greyDeviationScales(steps: readonly PatchSignals[], { width, height }: Size) {
  const { x } = greyLevelScales(steps, { width, height })
  const off = steps.flatMap(({ code }) =>
    [0, 1, 2].flatMap((i) => [code.source[i]! - code.target[i]!, code.matched[i]! - code.target[i]!]),
  )
  const reach = niceReach(off, 0.02)
  return { x, y: scaleLinear([-reach, reach], [height - margin.bottom, margin.top]) }
}

type Value = (code: Trio<Vec3>, stage: 'source' | 'matched', channel: number) => number

/** A line a channel and stage, through the steps in the order of `steps`; and a strip a step, to be pointed at. */
function marks(
  steps: readonly PatchSignals[],
  { x, y }: ReturnType<typeof greyLevelScales>,
  value: Value,
): Markup[] {
  const [bottom, top] = y.range() as [number, number]
  const strips = steps.map(
    (p) => markup`<path class="step" data-p="${p.index}" d="M${c(x(stepLevel(p)))} ${c(top)}V${c(bottom)}"/>`,
  )
  const lines = (['source', 'matched'] as const).flatMap((stage) =>
    channels.map(({ kind }, channel) => {
      const path = line<PatchSignals>(
        (p) => x(stepLevel(p)),
        (p) => y(value(p.code, stage, channel)),
      ).digits(1)(steps)
      return markup`<path class="${kind} ${stage === 'source' ? 'as' : 'mt'}" d="${path ?? ''}"/>`
    }),
  )
  return [...strips, ...lines]
}

function axes(
  { x, y }: ReturnType<typeof greyLevelScales>,
  { width, height }: Size,
  text: (v: number) => string,
  title: string,
) {
  return [
    levelsAxis(y, margin.left, width - margin.right, y.ticks(6), text),
    stepsAxis(x, margin.top, height - margin.bottom, x.ticks(6), percentWhole),
    markup`<text class="tick mid" x="${c((margin.left + width - margin.right) / 2)}" y="${height - 4}">${title}</text>`,
  ]
}

const percentWhole = (value: number) => percentText(value).replace(/\.0$/, '')
const signedWhole = (value: number) => signedPercentText(value).replace(/\.0$/, '')

/** R′, G′ and B′ of every grey step over the level that it should have, in percent; on the diagonal nothing is off. */
export function greyLevels(patches: readonly PatchSignals[], size: Size, label: string): Markup {
  const steps = greySteps(patches)
  const scales = greyLevelScales(steps, size)
  const [low, high] = scales.x.domain() as [number, number]
  const slant = markup`<path class="ideal" d="M${c(scales.x(low))} ${c(scales.y(low))}L${c(scales.x(high))} ${c(scales.y(high))}"/>`
  return picture('grey', label, size, [
    axes(scales, size, percentWhole, 'target level, %'),
    slant,
    marks(steps, scales, (code, stage, channel) => code[stage][channel]!),
  ])
}

/** The same as deviation from the target, in percent of the signal. */
export function greyDeviation(patches: readonly PatchSignals[], size: Size, label: string): Markup {
  const steps = greySteps(patches)
  const scales = greyDeviationScales(steps, size)
  return picture('grey', label, size, [
    axes(scales, size, signedWhole, 'target level, %'),
    marks(steps, scales, (code, stage, channel) => code[stage][channel]! - code.target[channel]!),
  ])
}
