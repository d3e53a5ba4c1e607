import {
  bootstrapIntervals,
  builtinChart,
  type FitOptions,
  fitPatches,
  labOfView,
  matchCamera,
  patchLights,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { exactTarget } from './support/exactTarget.ts'
import { faultOf } from './support/faultOf.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const light = (device: 'sensor1' | 'sensor2'): Vec3[] =>
  patchLight({ chart, device, light: 'D65' }).map((patch) => patch.light)
const source = light('sensor1')
const target = light('sensor2')
const whole = (options: FitOptions) =>
  matchCamera(
    {
      chart,
      readings: readingsOf(names, source),
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, target),
      working: resolvePrimaries('bt709'),
    },
    options,
  )

// What a caller without a compiler may pass.
const wrong = (options: Record<string, unknown>) => options as never

describe('an unknown word for an option', () => {
  for (const option of ['model', 'objective', 'view', 'evenness']) {
    it(`${option}: named, with what is known`, () => {
      const fault = faultOf(() => whole(wrong({ [option]: 'constructor' })))
      expect(fault.code).toBe('usage')
      expect(fault.message).toMatch(new RegExp(`option ${option} is "constructor", expected one of \\w`))
    })
  }

  it('also where the fit stands alone, which knows no auto', () => {
    for (const call of [fitPatches, bootstrapIntervals]) {
      for (const options of [{ model: 'auto' }, { objective: 'best' }, { view: 'screen' }, { model: 7 }])
        expect(faultOf(() => call(source, target, wrong(options))).code).toBe('usage')
    }
  })

  it('the view of a colour', () => {
    expect(faultOf(() => labOfView(resolvePrimaries('bt709'), 'screen' as never)).code).toBe('usage')
  })

  it('the known ones pass', () => {
    expect(whole({ model: 'auto', objective: 'linear', view: 'display', evenness: 'off' }).requested).toBe(
      'auto',
    )
    expect(whole({}).requested).toBe('lift-gain-matrix')
  })
})

describe('an option that there is not', () => {
  it.each([
    [{ objectiv: 'linear' }, 'objectiv', 'objective'],
    [{ weights: { role: { skin: 2 } } }, 'weights.role', 'roles'],
    [{ weights: { roles: { skinn: 2 } } }, 'weights.roles.skinn', 'skin'],
  ])('%j: named, with those there are', (options, name, known) => {
    const fault = faultOf(() => whole(wrong(options)))
    expect(fault.code).toBe('usage')
    expect(fault.message).toBe(`there is no option ${name}`)
    expect(fault.hint).toContain(known)
  })

  it('also where the fit stands alone', () => {
    expect(faultOf(() => fitPatches(source, target, wrong({ objectiv: 'linear' }))).code).toBe('usage')
    expect(faultOf(() => fitPatches(source, target, wrong({ count: 20 }))).code).toBe('usage')
    expect(faultOf(() => bootstrapIntervals(source, target, wrong({ seeds: 2 }))).code).toBe('usage')
  })
})

describe('a value that an option cannot have', () => {
  it.each([
    [{ clippedShare: Number.NaN }, 'clippedShare is NaN, expected a number from 0 to 1'],
    [{ clippedShare: '0,01' }, 'clippedShare is "0,01"'],
    [{ clippedShare: -0.1 }, 'clippedShare is -0.1'],
    [{ clippedShare: 1.1 }, 'clippedShare is 1.1'],
    [{ robust: 'no' }, 'robust is "no", expected true or false'],
    [{ robust: 0 }, 'robust is 0'],
    [{ weights: 2 }, 'weights is 2, expected an object'],
    [{ weights: { patches: [1, 2] } }, 'weights.patches is [1,2]'],
    [{ weights: { patches: { red: '2' } } }, 'weights.patches.red is "2"'],
    [{ weights: { patches: { red: Number.POSITIVE_INFINITY } } }, 'weights.patches.red is Infinity'],
    [{ weights: { roles: { skin: -1 } } }, 'weights.roles.skin is -1, expected a number of 0 or more'],
  ])('of a match: %j', (options, message) => {
    const fault = faultOf(() => whole(wrong(options)))
    expect(fault.code).toBe('usage')
    expect(fault.message).toContain(`the option ${message}`)
  })

  it.each([
    { weights: { red: 1 } },
    { weights: source.map(() => Number.NaN) },
    { working: 'bt709' },
    { working: { ...resolvePrimaries('bt709'), white: [0.3127] } },
    { declared: [1, 1, 1] },
    {
      declared: [
        [1, 0, 0],
        [0, 1, 0],
      ],
    },
    {
      declared: [
        [1, 0, 0],
        [0, 1, 0],
        [0, 0, Number.NaN],
      ],
    },
  ])('of the fit alone: %j', (options) => {
    expect(faultOf(() => fitPatches(source, target, wrong(options))).code).toBe('usage')
  })

  it.each([{ count: 1 }, { count: 20.5 }, { count: '500' }, { seed: 0.5 }, { model: 'root-polynomial-2' }])(
    'of the bootstrap: %j',
    (options) => {
      expect(faultOf(() => bootstrapIntervals(source, target, wrong(options))).code).toBe('usage')
    },
  )

  it('of the share that may clip, where readings become light', () => {
    const readings = readingsOf(names, source)
    for (const share of [Number.NaN, '0,01', 2])
      expect(
        faultOf(() => patchLights(chart, readings, resolveEncoding('linear'), share as never)).code,
      ).toBe('usage')
  })

  it('no options at all, and options that are none', () => {
    expect(whole(undefined as never).requested).toBe('lift-gain-matrix')
    expect(whole(wrong({ model: undefined, weights: undefined })).requested).toBe('lift-gain-matrix')
    for (const options of ['perceptual', null, []])
      expect(faultOf(() => whole(options as never)).code).toBe('usage')
  })
})

describe('an encoding that is none', () => {
  it.each([
    ['a range', { transfer: 'bt709', range: 'Full' }, 'range "Full" is not known, expected full or narrow'],
    ['a key', { transfer: 'bt709', rangee: 'narrow' }, 'an encoding has no rangee'],
    ['a transfer', { transfer: 'rec7' }, '"rec7" is not known'],
    ['no transfer', { primaries: 'bt709' }, 'undefined is not known'],
    ['null', { transfer: null }, 'null is not known'],
    ['two curves', { transfer: { power: 2, table: {} } }, 'power and table'],
    ['no curve', { transfer: {} }, 'nothing in it'],
    ['another curve', { transfer: { gamma: 2 } }, 'gamma, expected one of power, log, table'],
    ['a power in words', { transfer: { power: 'two' } }, 'power is two'],
    ['a log parameter', { transfer: { log: { logSideSlop: 1 } } }, 'no log parameter logSideSlop'],
    ['a log parameter in words', { transfer: { log: { base: '10' } } }, 'log parameter base is 10'],
  ])('%s', (_, spec, message) => {
    const fault = faultOf(() => resolveEncoding(wrong(spec)))
    expect(fault.code).toBe('encoding-unknown')
    expect(fault.message).toContain(message)
  })
})
