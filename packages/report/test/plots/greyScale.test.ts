import { describe, expect, it } from 'vitest'
import type { Markup } from '../../src/page/markup.ts'
import {
  greyDeviation,
  greyDeviationScales,
  greyLevelScales,
  greyLevels,
} from '../../src/plots/camera/greyScale.ts'
import { patchesOf } from '../support/patchesOf.ts'
import { rounding, withClass } from '../support/svg.ts'

const size = { width: 520, height: 340 }
const patches = patchesOf([
  {
    name: 'light',
    role: 'neutral',
    source: [0.9, 0.8, 0.7],
    matched: [0.8, 0.81, 0.8],
    target: [0.8, 0.8, 0.8],
  },
  { name: 'colour', source: [0.5, 0.2, 0.1], matched: [0.5, 0.2, 0.1], target: [0.5, 0.2, 0.1] },
  {
    name: 'dark',
    role: 'neutral',
    source: [0.3, 0.2, 0.1],
    matched: [0.2, 0.2, 0.2],
    target: [0.2, 0.2, 0.2],
  },
])
/** Points of the line of one channel and stage; the style sets its marks on them. */
function points(picture: Markup, line: string): [number, number][] {
  const [path] = withClass(picture, 'path', line)
  return path!
    .d!.split(/[ML]/)
    .slice(1)
    .map((point) => point.split(',').map(Number) as [number, number])
}
const near = (point: [number, number] | undefined, [x, y]: readonly [number, number]) =>
  point !== undefined && Math.abs(point[0] - x) < rounding && Math.abs(point[1] - y) < rounding

const steps = patches.filter((p) => p.neutral)

describe('greyScale', () => {
  it('puts each channel of each neutral at its target level and its own, colours left out', () => {
    const { x, y } = greyLevelScales(steps, size)
    const picture = greyLevels(patches, size, 'test')
    // As shot and matched, each from dark to light.
    const [, asShot] = points(picture, 'r as')
    expect(near(asShot, [x(0.8), y(0.9)])).toBe(true)
    expect(near(points(picture, 'b as')[1], [x(0.8), y(0.7)])).toBe(true)
    expect(near(points(picture, 'g mt')[1], [x(0.8), y(0.81)])).toBe(true)
    expect(near(points(picture, 'r mt')[0], [x(0.2), y(0.2)])).toBe(true)
    for (const channel of ['r', 'g', 'b'])
      for (const stage of ['as', 'mt']) expect(points(picture, `${channel} ${stage}`)).toHaveLength(2)
  })

  it('has a strip to point at for each neutral, at its level', () => {
    const { x } = greyLevelScales(steps, size)
    const strips = withClass(greyLevels(patches, size, 'test'), 'path', 'step')
    expect(strips.map((strip) => strip['data-p'])).toEqual(['2', '0'])
    for (const [i, level] of [0.2, 0.8].entries())
      expect(Math.abs(Number(strips[i]!.d!.match(/^M([\d.]+) /)![1]) - x(level))).toBeLessThan(rounding)
  })

  it('puts deviation about zero: +10 % red, −10 % blue as shot, +1 % green left after the match', () => {
    const { y } = greyDeviationScales(steps, size)
    const picture = greyDeviation(patches, size, 'test')
    const off = { 'r as': 0.1, 'g as': 0, 'b as': -0.1, 'r mt': 0, 'g mt': 0.01, 'b mt': 0 }
    for (const [line, deviation] of Object.entries(off))
      expect([line, Math.abs(points(picture, line)[1]![1] - y(deviation)) < rounding]).toEqual([line, true])
    expect(y(0.1)).toBeLessThan(y(0))
  })
})
