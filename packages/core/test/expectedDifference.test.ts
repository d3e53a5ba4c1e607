import { builtinChart, matchCamera, resolveEncoding, resolvePrimaries } from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { expect, it } from 'vitest'
import { map3 } from '../src/linear/mat3.ts'
import { exactTarget } from './support/exactTarget.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const lightOf = (device: 'sensor3' | 'sensor7') =>
  patchLight({ chart, device, light: 'D65' }).map(({ light }) => light)

const expectedOf = (through: (level: number) => number) =>
  matchCamera(
    {
      chart,
      readings: readingsOf(
        names,
        lightOf('sensor3').map((light) => map3(light, through)),
      ),
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, lightOf('sensor7')),
      working: resolvePrimaries('bt709'),
    },
    { evenness: 'off' },
  ).diagnosis.expected

it('what is expected on other materials rests on the spectra of the chart where light is linear, and not where it is not', () => {
  expect(expectedOf((level) => level)?.basis).toBe('spectra')
  expect(expectedOf(Math.sqrt)?.basis).toBe('left-out')
})
