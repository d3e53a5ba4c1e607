import {
  builtinCharts,
  compareResponses,
  decodeRgb,
  type EncodingSpec,
  encodeRgb,
  fitPatches,
  matchCamera,
  measureTransfer,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { readingsOf } from './support/readingsOf.ts'

// The structured clone algorithm (HTML Living Standard, 2.7) is what a worker thread's messages go through: it
// throws on a function.
const clone = <T>(value: T): T => structuredClone(value)

const code = [0, 0.25, 0.5, 1]
const specs: EncodingSpec[] = [
  'acescct',
  { transfer: { power: 2.2 }, primaries: 'ap1', range: 'narrow' },
  { transfer: { log: { base: 10, logSideSlope: 0.25, linSideOffset: 0.01, linSideBreak: 0.01 } } },
  { transfer: { table: { code, light: [code, code.map((v) => v ** 2), code.map((v) => v ** 3)] } } },
]

describe('plain data: it is the same after a structured clone, and serves as well', () => {
  it.each(specs)('an encoding: %j', (spec) => {
    const encoding = resolveEncoding(spec)
    const other = clone(encoding)
    expect(other).toEqual(encoding)
    const light: Vec3 = [0.02, 0.3, 0.9]
    expect(encodeRgb(other, light)).toEqual(encodeRgb(encoding, light))
    expect(decodeRgb(other, [0.1, 0.4, 0.8])).toEqual(decodeRgb(encoding, [0.1, 0.4, 0.8]))
    expect(resolveEncoding(other.spec)).toEqual(encoding)
  })

  it.each(builtinCharts)('the chart $id, its target, a match and what else comes of readings', (chart) => {
    const working = resolvePrimaries('bt709')
    const names = chart.patches.map(({ name }) => name)
    const encoding = resolveEncoding('bt709')
    const coded = (device: 'sensor1' | 'sensor2') =>
      readingsOf(
        names,
        patchLight({ chart, device, light: 'D65' }).map(({ light }) => encodeRgb(encoding, light)),
      )
    const input = {
      chart,
      readings: coded('sensor1'),
      encoding,
      target: targetFromReference(chart, 'D65', working),
      working,
    }
    expect(clone(input)).toEqual(input)
    const match = matchCamera(input)
    expect(clone(match)).toEqual(match)
    expect(matchCamera(clone(input))).toEqual(match)
    const curve = measureTransfer({ ...input, primaries: working })
    expect(clone(curve)).toEqual(curve)
    const cameras = [
      { name: 'a', readings: coded('sensor1'), encoding },
      { name: 'b', readings: coded('sensor2'), encoding },
    ]
    const comparison = compareResponses({ chart, cameras, working })
    expect(clone(comparison)).toEqual(comparison)
    const { light } = input.target
    const lights = names.flatMap((name) => (light.has(name) ? [light.get(name)!] : []))
    const fit = fitPatches(lights, lights)
    expect(clone(fit)).toEqual(fit)
  })
})
