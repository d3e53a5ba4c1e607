import { builtinChart } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { lightPower, patchLight, sensorCurves, sensorNames, sensorResponse } from '../src/index.ts'

const argmax = (curve: Float64Array) => 380 + 5 * curve.indexOf(Math.max(...curve))

describe('sensorResponse', () => {
  // Jiang et al. 2013: each curve set is scaled to a peak of 1; blue, green and red peak in that order of wavelength.
  it.each(sensorNames)('%s has a peak of 1, and blue, green, red in that order', (sensor) => {
    const [r, g, b] = sensorCurves(sensor)
    expect(Math.max(...r, ...g, ...b)).toBe(1)
    expect(argmax(b)).toBeLessThan(argmax(g))
    expect(argmax(g)).toBeLessThan(argmax(r))
    expect(argmax(b)).toBeLessThan(490)
    expect(argmax(r)).toBeGreaterThan(570)
  })

  it('a perfect diffuser is 1, 1, 1 under the light that the sensor is balanced for', () => {
    for (const sensor of sensorNames) {
      for (const channel of sensorResponse(sensor, lightPower('LED-B3'))) expect(channel).toBeCloseTo(1, 12)
    }
  })

  it('tungsten on a daylight balance is red, daylight on a tungsten balance blue; green stays (common practice)', () => {
    const [daylight, tungsten] = [lightPower('D65'), lightPower('A')]
    for (const sensor of sensorNames) {
      const warm = sensorResponse(sensor, tungsten, undefined, daylight)
      const cold = sensorResponse(sensor, daylight, undefined, tungsten)
      expect(warm[0]).toBeGreaterThan(1.5)
      expect(warm[2]).toBeLessThan(0.6)
      expect(warm[1]).toBeCloseTo(1, 12)
      expect(cold[0]).toBeCloseTo(1 / warm[0], 10)
      expect(cold[2]).toBeCloseTo(1 / warm[2], 10)
    }
  })

  // The greys of the chart are spectrally flat above 430 nm (ISO 17321-1), so no sensor may see a hue in them.
  it('the middle greys of the 24-patch chart are neutral to every sensor', () => {
    for (const device of sensorNames) {
      const greys = patchLight({ chart: builtinChart('chart24'), device, light: 'D50' }).slice(19, 23)
      for (const { light } of greys) {
        expect(Math.abs(light[0] / light[1] - 1)).toBeLessThan(0.03)
        expect(Math.abs(light[2] / light[1] - 1)).toBeLessThan(0.03)
      }
    }
  })
})
