import {
  builtinChart,
  matchCamera,
  type PatchReading,
  patchLights,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { faultOf } from './support/faultOf.ts'

const chart = builtinChart('chart24')
const linear = resolveEncoding('linear')
const bt709 = resolveEncoding('bt709')
const grey = (value: number): Vec3 => [value, value, value]
const all = (value: number): PatchReading[] =>
  chart.patches.map((patch) => ({ patch: patch.name, rgb: grey(value) }))
const one = (reading: Partial<PatchReading>, encoding = linear) =>
  patchLights(chart, { patches: [{ patch: 'red', rgb: grey(0.3), ...reading }] }, encoding)[0]!

describe('readings that cannot be read', () => {
  it('a patch that the chart does not have', () => {
    const fault = faultOf(() => one({ patch: 'rad' }))
    expect(fault.code).toBe('patch-unknown')
    expect(fault.place).toEqual({ patch: 'rad' })
    expect(fault.message).toContain('chart24')
  })

  it('a patch read twice', () => {
    const fault = faultOf(() => patchLights(chart, { patches: [...all(0.3), all(0.3)[3]!] }, linear))
    expect(fault.code).toBe('patch-doubled')
    expect(fault.place).toEqual({ patch: 'foliage' })
  })

  it.each([
    { rgb: [0.1, Number.NaN, 0.1] as Vec3 },
    { rgb: [0.1, 0.1, Number.POSITIVE_INFINITY] as Vec3 },
    { sd: [0.1, 0.1, Number.NaN] as Vec3 },
    { rgb: [0.1, 0.1] as never },
    { rgb: [0.1, 0.1, '0.1'] as never },
    { sd: [0.1] as never },
    { sd: 0.1 as never },
    { sd: [0.1, 0.1, -0.1] as Vec3 },
    { pixels: 0 },
    { pixels: '400' as never },
    { clipped: 1.5 },
    { clipped: -0.5 },
  ])('a number that is none: $rgb $sd $pixels $clipped', (reading) => {
    const fault = faultOf(() => one(reading))
    expect(fault.code).toBe('readings-invalid')
    expect(fault.place).toEqual({ patch: 'red' })
    expect(fault.message).toMatch(/has (rgb|sd|pixels|clipped) .*, expected /)
  })

  const match = (patches: PatchReading[], options = {}) =>
    matchCamera(
      {
        chart,
        readings: { patches },
        encoding: linear,
        target: targetFromReference(chart, 'C', resolvePrimaries('bt709')),
        working: resolvePrimaries('bt709'),
      },
      options,
    )

  it('all patches clipped', () => {
    const fault = faultOf(() => match(all(0.3).map((reading) => ({ ...reading, clipped: 1 }))))
    expect(fault.code).toBe('clipped')
    expect(fault.message).toContain('24')
    expect(fault.hint).toBeDefined()
  })

  it('no patch at all', () => expect(faultOf(() => match([])).code).toBe('too-few-patches'))

  it('fewer patches than the model needs', () => {
    const fault = faultOf(() => match(all(0.3).slice(0, 3)))
    expect(fault.code).toBe('too-few-patches')
    expect(fault.message).toContain('3 usable patches')
    expect(fault.message).toContain('4 or more')
  })

  it('all patches alike', () => expect(faultOf(() => match(all(0.3))).code).toBe('rank-deficient'))

  it.each([
    ['a weight for a patch that the chart does not have', { patches: { rad: 2 } }, 'patch-unknown'],
    ['a weight below zero', { patches: { red: -1 } }, 'usage'],
    ['a weight that is no number', { roles: { skin: Number.NaN } }, 'usage'],
  ])('%s', (_, weights, code) => {
    expect(faultOf(() => match(all(0.3), { weights })).code).toBe(code)
  })
})

describe('readings that cannot serve', () => {
  it('more than the allowed share of pixels clips', () => {
    expect(one({ clipped: 0.02 }).unusable).toBe('clipped (2.0 % of its pixels)')
    expect(one({ clipped: 0.005 }).unusable).toBeUndefined()
    const lenient = patchLights(
      chart,
      { patches: [{ patch: 'red', rgb: grey(0.3), clipped: 0.02 }] },
      linear,
      0.05,
    )
    expect(lenient[0]!.unusable).toBeUndefined()
  })

  it('a coded picture at the top of its range, but not scene-linear light above 1', () => {
    expect(one({ rgb: [0.4, 1, 0.2] }, bt709).unusable).toContain('clipped')
    expect(one({ rgb: [0.4, 1, 0.2], clipped: 0 }, bt709).unusable).toBeUndefined()
    expect(one({ rgb: [0.4, 1.5, 0.2] }, linear).unusable).toBeUndefined()
  })

  it('no channel stands above twice its standard error', () => {
    expect(one({ rgb: grey(0.01), sd: grey(0.045), pixels: 100 }).unusable).toBeUndefined()
    expect(one({ rgb: grey(0.01), sd: grey(0.045), pixels: 100 }).standardError[0]).toBeCloseTo(0.0045, 12)
    expect(one({ rgb: grey(0.01), sd: grey(0.045), pixels: 64 }).unusable).toBe('in the noise')
    expect(one({ rgb: [0.01, 0.1, 0.01], sd: grey(0.045), pixels: 64 }).unusable).toBeUndefined()
    expect(one({ rgb: grey(-0.001) }).unusable).toBe('in the noise')
  })
})

describe('readings that serve', () => {
  it('come in the order of the chart, as light in the camera’s primaries', () => {
    const patches = all(0.5).toReversed()
    const lights = patchLights(chart, { patches }, bt709)
    expect(lights.map((light) => light.patch)).toEqual(chart.patches.map((patch) => patch.name))
    // BT.709-6, item 1.2, the other way round: ((0.5 + 0.099) / 1.099)^(1/0.45).
    expect(lights[0]!.light[0]).toBeCloseTo(((0.5 + 0.099) / 1.099) ** (1 / 0.45), 14)
  })

  it('carry their standard error through the slope of the curve', () => {
    const { standardError } = one({ rgb: grey(0.5), sd: grey(0.01), pixels: 400 }, bt709)
    // d/dV of the printed inverse.
    const slope = ((0.5 + 0.099) / 1.099) ** (1 / 0.45 - 1) / 0.45 / 1.099
    expect(standardError[1] / ((slope * 0.01) / 20)).toBeCloseTo(1, 6)
  })

  it('may miss patches: those are not there', () => {
    expect(patchLights(chart, { patches: all(0.3).slice(4, 9) }, linear)).toHaveLength(5)
  })
})
