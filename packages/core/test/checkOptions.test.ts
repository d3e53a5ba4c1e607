import {
  bootstrapIntervals,
  builtinChart,
  type FitOptions,
  fitPatches,
  matchCamera,
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

  it('the known ones pass', () => {
    expect(whole({ model: 'auto', objective: 'linear', view: 'display', evenness: 'off' }).requested).toBe(
      'auto',
    )
    expect(whole({}).requested).toBe('lift-gain-matrix')
  })
})
