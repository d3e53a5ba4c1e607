import {
  builtinChart,
  matchCamera,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  type Target,
  targetFromCamera,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'

const chart = builtinChart('buoy47')
const encoding = resolveEncoding('linear')
const working = resolvePrimaries('bt709')
const reference = targetFromReference(chart, 'D65', working)

/** A camera that sees the chart as its values say, through a print, with flare over all of it. */
const shoot = (flare: Vec3, print: (light: number) => number = (light) => light): Readings => ({
  patches: chart.patches.map(({ name }) => {
    const light = reference.light.get(name)
    const seen = (c: 0 | 1 | 2) => (light === undefined ? 0 : print(light[c])) + flare[c]
    return { patch: name, rgb: [seen(0), seen(1), seen(2)] as const }
  }),
})
const withoutTrap = ({ patches }: Readings): Readings => ({
  patches: patches.filter(({ patch }) => patch !== 'true black'),
})
const liftOf = (
  readings: Readings,
  target: Target,
  model: 'lift-gain-matrix' | 'auto' = 'lift-gain-matrix',
) => matchCamera({ chart, readings, encoding, target, working }, { model }).model.lift

/** Paper and varnish send back about 1 % more from everything that is printed dark: common practice, no source. */
const varnish = (light: number) => light + 0.01 * (1 - light)
const flare: Vec3 = [0.02, 0.022, 0.018]
const missedBy = (lift: Vec3, wanted: Vec3) =>
  Math.max(...lift.map((value, c) => Math.abs(value - wanted[c]!)))
const taken: Vec3 = [-flare[0], -flare[1], -flare[2]]

describe('the true black of a chart in a match', () => {
  it.each(['lift-gain-matrix', 'auto'] as const)(
    'tells what is flare where the print is not as black as its values, model %s',
    (model) => {
      const readings = shoot(flare, varnish)
      const with_ = missedBy(liftOf(readings, reference, model), taken)
      const without = missedBy(liftOf(withoutTrap(readings), reference, model), taken)
      expect(without).toBeGreaterThan(0.008)
      expect(with_).toBeLessThan(0.3 * without)
    },
  )

  it('changes nothing where the print is as it should be', () => {
    expect(missedBy(liftOf(shoot(flare), reference), taken)).toBeLessThan(1e-4)
  })

  it('keeps the flare of the camera that the others are to look like', () => {
    const own: Vec3 = [0.006, 0.006, 0.006]
    const target = targetFromCamera(chart, shoot(own), encoding, working)
    const lift = liftOf(shoot(flare), target)
    expect(missedBy(lift, [own[0] - flare[0], own[1] - flare[1], own[2] - flare[2]])).toBeLessThan(1e-4)
  })

  it('is left alone where weights say so, where something lies over it, and where it clips', () => {
    const readings = shoot(flare, varnish)
    const alone = liftOf(withoutTrap(readings), reference)
    const marked = (mark: object): Readings => ({
      patches: readings.patches.map((one) => (one.patch === 'true black' ? { ...one, ...mark } : one)),
    })
    expect(liftOf(marked({ foreign: true }), reference)).toEqual(alone)
    expect(liftOf(marked({ clipped: 0.2 }), reference)).toEqual(alone)
    const { model } = matchCamera(
      { chart, readings, encoding, target: reference, working },
      { weights: { roles: { 'true-black': 0 } } },
    )
    expect(model.lift).toEqual(alone)
  })
})
