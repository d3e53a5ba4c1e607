import {
  applyModel,
  builtinChart,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  rgbToXyz,
  type Vec3,
} from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { exactTarget } from './support/exactTarget.ts'
import { normalNoise } from './support/normalNoise.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const working = resolvePrimaries('bt709')
const lights = (device: 'sensor2' | 'sensor6') =>
  patchLight({ chart, device, light: 'A' }).map((p) => p.light)

describe('noise amplification', () => {
  it.each(['gain', 'lift-gain-matrix', 'root-polynomial-2'] as const)(
    '%s: what comes out of noisy grey is as noisy as stated',
    (model) => {
      // The camera is a stop under and out of balance, so that gains have a part in it.
      const seen = lights('sensor2').map(([r, g, b]): Vec3 => [0.5 * r, 0.6 * g, 0.4 * b])
      const match = matchCamera(
        {
          chart,
          readings: readingsOf(names, seen),
          encoding: resolveEncoding('linear'),
          target: exactTarget(names, lights('sensor6')),
          working,
        },
        { model, evenness: 'off', robust: false },
      )
      const { gain, lift } = match.model
      const normal = normalNoise(7)
      // Small beside the light of mid grey, so that the slopes of the roots are those at that place.
      const sigma = 1e-3
      const count = 20_000
      const out = Array.from({ length: count }, () => {
        const channel = (c: 0 | 1 | 2) => (0.18 + sigma * normal()) / gain[c] - lift[c]
        return applyModel(match.model, [channel(0), channel(1), channel(2)])
      })
      const deviation = (of: (light: Vec3) => number) => {
        const mean = out.reduce((sum, light) => sum + of(light), 0) / count
        return Math.sqrt(out.reduce((sum, light) => sum + (of(light) - mean) ** 2, 0) / (count - 1)) / sigma
      }
      const { channels, luminance } = match.diagnosis.noiseAmplification
      // A standard deviation of n draws is good to 1 / √(2n) = 0.5 %; four of those.
      for (const c of [0, 1, 2] as const) {
        expect(Math.abs(channels[c] / deviation((light) => light[c]) - 1)).toBeLessThan(0.02)
      }
      const y = rgbToXyz(working)[1]
      const before = Math.hypot(...y)
      const after = deviation((light) => y[0] * light[0] + y[1] * light[1] + y[2] * light[2])
      expect(Math.abs(luminance / (after / before) - 1)).toBeLessThan(0.02)
    },
  )
})
