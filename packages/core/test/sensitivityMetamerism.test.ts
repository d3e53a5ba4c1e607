import {
  apply3,
  builtinChart,
  resolvePrimaries,
  rgbToXyz,
  sensitivityMetamerism,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { expect, test } from 'vitest'

const chart = builtinChart('chart24')
const bt709 = resolvePrimaries('bt709')
const light = targetFromReference(chart, 'D65', bt709).light
const toXyz = rgbToXyz(bt709)
const xyz = new Map([...light].map(([name, value]) => [name, apply3(toXyz, value)]))

test('a camera that a matrix makes an observer has 100', () => {
  // The Luther condition: responses that are a linear combination of the colour matching functions.
  const camera = new Map(
    [...xyz].map(([name, [x, y, z]]): [string, Vec3] => [name, [x + y, 2 * y - 0.3 * z, z + 0.1 * x]]),
  )
  const found = sensitivityMetamerism(chart, camera, xyz)!
  expect(found.index).toBeCloseTo(100, 6)
  expect(found.patches).toBe(18)
})

test('what no matrix removes takes 5.5 for each ΔE*ab', () => {
  const bent = new Map(
    [...light].map(([name, [r, g, b]]): [string, Vec3] => [name, [Math.sign(r) * Math.abs(r) ** 1.2, g, b]]),
  )
  const found = sensitivityMetamerism(chart, bent, xyz)!
  expect(found.meanDE76).toBeGreaterThan(0.5)
  expect(found.index).toBeCloseTo(100 - 5.5 * found.meanDE76, 12)
})

test('too few patches give no index', () => {
  expect(sensitivityMetamerism(chart, new Map([...light].slice(0, 5)), xyz)).toBeUndefined()
})
