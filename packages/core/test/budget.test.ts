import { builtinChart, matchCamera, resolveEncoding, resolvePrimaries, type Vec3 } from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { expect, it } from 'vitest'
import { exactTarget } from './support/exactTarget.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const light = (device: 'sensor1' | 'sensor2') =>
  patchLight({ chart, device, light: 'D65' }).map((p) => p.light)

it('clipping has by how much more the clipped patches are off than as many of the others', () => {
  // With the linear objective, exact readings and no robust weights nothing but clipping and the sensors is left.
  const few = [14, 15, 18]
  const match = matchCamera(
    {
      chart,
      readings: {
        patches: light('sensor1').map((rgb, i) => ({
          patch: names[i]!,
          rgb: (few.includes(i) ? rgb.map((v) => 0.8 * v) : rgb) as unknown as Vec3,
          clipped: few.includes(i) ? 0.005 : 0,
        })),
      },
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, light('sensor2')),
      working: resolvePrimaries('bt709'),
    },
    { objective: 'linear', robust: false },
  )
  const square = match.patches.map(({ dE00 }) => dE00.after ** 2)
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
  const some = sum(few.map((i) => square[i]!))
  const others = sum(square) - some
  const { budget } = match.diagnosis
  expect(budget!.noise).toBe(0)
  expect(budget!.clipping).toBeCloseTo((some - (few.length * others) / (24 - few.length)) / sum(square), 9)
  expect(budget!.clipping).toBeGreaterThan(0.05)
  expect(budget!.clipping + budget!.spectral).toBeCloseTo(1, 12)
})
