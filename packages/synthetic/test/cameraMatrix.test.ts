import { apply3, builtinChart, deltaE00, labOfLinear, resolvePrimaries, xyzToRgb } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { cameraMatrix, patchLight, sensorNames } from '../src/index.ts'

const bt709 = resolvePrimaries('bt709')

describe('cameraMatrix', () => {
  it('keeps white white', () => {
    for (const row of cameraMatrix('sensor5', 'A', resolvePrimaries('bt2020'))) {
      expect(row[0] + row[1] + row[2]).toBeCloseTo(1, 12)
    }
  })

  // Common practice, no source: a still camera's matrix reproduces the 24-patch chart within a few ΔE; more saturated
  // output takes positive diagonal and mostly negative other terms.
  it.each(sensorNames)('%s: the 24 patches come out within a mean ΔE00 of 3', (sensor) => {
    const chart = builtinChart('chart24')
    const matrix = cameraMatrix(sensor, 'D65', bt709)
    const lab = labOfLinear(bt709)
    const toRgb = xyzToRgb(bt709)
    const seen = patchLight({ chart, device: sensor, light: 'D65' })
    const meant = patchLight({ chart, device: 'observer', light: 'D65' })
    const mean =
      seen
        .map(({ light }, i) => deltaE00(lab(apply3(matrix, light)), lab(apply3(toRgb, meant[i]!.light))))
        .reduce((sum, dE) => sum + dE, 0) / seen.length
    expect(mean).toBeLessThan(3)
    expect(mean).toBeGreaterThan(0.2)
    for (const c of [0, 1, 2] as const) expect(matrix[c][c]).toBeGreaterThan(1)
  })
})
