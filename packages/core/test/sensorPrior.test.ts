import { builtinChart, labOfLinear, resolvePrimaries } from '@isochip/core'
import { lightNames, sensorNames } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { ces99, judgingChart, judgingTask } from '../../../test/support/judgingSet.ts'
import { pooledSensors } from '../scripts/pooledSensors.ts'
import { expectReadings, looseCovariance } from '../src/prior/expectReadings.ts'
import { atKnots } from '../src/prior/knots.ts'
import { chartReflectances } from '../src/prior/materials/chartReflectances.ts'
import { priorOf, sensorPrior } from '../src/prior/sensorPrior.ts'

const reflectances = [...chartReflectances(judgingChart).values()]
const working = resolvePrimaries('bt709')
const none = Float64Array.from(reflectances, () => 1e-8)

describe('the prior over sensors and lights', () => {
  it('is what its script makes of the measured sensors, and sees a white of 1', () => {
    const { moment } = sensorPrior()
    const again = priorOf(pooledSensors(sensorNames, lightNames)).moment
    for (const [i, value] of moment.entries()) expect(value).toBeCloseTo(again[i]!, 7)
    const white = moment.reduce((sum, value) => sum + value, 0)
    expect(white).toBeGreaterThan(1)
    expect(white).toBeLessThan(1.002)
  })

  it('knows the spectra of the 24 patches, and of no other chart', () => {
    expect(reflectances).toHaveLength(24)
    expect(chartReflectances(builtinChart('quay48')).size).toBe(0)
  })
})

describe('readings that are to be expected', () => {
  it('a patch without light tells the pedestal as Bayes has it, from 0 ± 0.02', () => {
    // A normal prior and a normal reading: the mean is the reading by the prior's share of both variances (Gelman and
    // others, Bayesian Data Analysis, 2.5), the variance the harmonic sum. 0.02 as docs/method.md states it.
    const black = [new Float64Array(reflectances[0]!.length)]
    for (const error of [1e-6, 4e-4, 1]) {
      const { pedestal, pedestalError } = expectReadings(looseCovariance(sensorPrior(), black, black), [
        error,
      ])
      expect(pedestal[0]).toBeCloseTo(4e-4 / (4e-4 + error), 12)
      expect(pedestalError ** -2).toBeCloseTo(1 / 4e-4 + 1 / error, 4)
    }
  })

  it('are those of the chart for its own patches', () => {
    const covariance = looseCovariance(sensorPrior(), reflectances, reflectances)
    const weights = expectReadings(covariance, none).weights(covariance)
    const { source } = judgingTask('sensor3', 'observer', 'A', 0, 1).chart
    for (let i = 0; i < 24; i++) {
      const green = source.reduce((sum, patch, p) => sum + weights[24 * i + p]! * patch[1], 0)
      expect(green).toBeCloseTo(source[i]![1], 3)
    }
  })

  // Held back: the sensor that reads is not in the prior. Real materials of CIE 224, which no part of it has seen.
  it('are those of a sensor that the prior has not seen, on real materials, to a fifth of a ΔE in the mean', () => {
    const lab = labOfLinear(working)
    const others = ces99.map((reflectance) =>
      atKnots(
        Array.from(reflectance, (_, i) => 380 + 5 * i),
        reflectance,
      ),
    )
    for (const light of ['D65', 'A', 'FL11'] as const) {
      for (const sensor of sensorNames) {
        const held = priorOf(
          pooledSensors(
            sensorNames.filter((name) => name !== sensor),
            lightNames,
          ),
        )
        const weights = expectReadings(looseCovariance(held, reflectances, reflectances), none).weights(
          looseCovariance(held, others, reflectances),
        )
        const { chart, unseen } = judgingTask(sensor, 'observer', light, 0, 1)
        let sum = 0
        for (const [o, real] of unseen.source.entries()) {
          const read = [0, 1, 2].map((c) =>
            chart.source.reduce((total, patch, p) => total + weights[24 * o + p]! * patch[c]!, 0),
          )
          const [L1, a1, b1] = lab([read[0]!, read[1]!, read[2]!])
          const [L2, a2, b2] = lab(real)
          sum += Math.hypot(L1 - L2, a1 - a2, b1 - b2) / unseen.source.length
        }
        expect(sum, `${sensor} in ${light}`).toBeLessThan(0.2)
      }
    }
  })
})
