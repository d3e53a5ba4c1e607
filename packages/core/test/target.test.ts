import {
  adaptation,
  apply3,
  builtinChart,
  type Chart,
  type ConsensusMember,
  illuminantWhites,
  isNeutral,
  multiply3,
  primariesConversion,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  resolveTransfer,
  targetFromCamera,
  targetFromConsensus,
  targetFromReference,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { thousandths } from './support/arbitraries.ts'
import { faultOf } from './support/faultOf.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const working = resolvePrimaries('bt709')
const linear = resolveEncoding('linear')

describe('targetFromCamera', () => {
  const values = names.map((_, i): Vec3 => [0.02 + 0.03 * i, 0.7 - 0.02 * i, 0.1 + 0.01 * i])

  it('is the camera’s light in the working primaries', () => {
    const encoding = resolveEncoding({ transfer: 'bt2020', primaries: 'bt2020' })
    const target = targetFromCamera(chart, readingsOf(names, values), encoding, working)
    const convert = primariesConversion(resolvePrimaries('bt2020'), working)
    for (const [i, name] of names.entries()) {
      const light: Vec3 = [
        resolveTransfer(encoding.spec.transfer).decode(values[i]![0], 0),
        resolveTransfer(encoding.spec.transfer).decode(values[i]![1], 1),
        resolveTransfer(encoding.spec.transfer).decode(values[i]![2], 2),
      ]
      for (const [c, value] of apply3(convert, light).entries()) {
        expect(target.light.get(name)![c]).toBeCloseTo(value, 14)
      }
    }
  })

  it('has no value for a patch that clips there, and says why', () => {
    const readings: Readings = {
      patches: names.map((patch, i) => ({
        patch,
        rgb: values[i]!,
        clipped: patch === 'white 9.5' ? 0.5 : 0,
      })),
    }
    const target = targetFromCamera(chart, readings, linear, working)
    expect(target.light.has('white 9.5')).toBe(false)
    expect(target.light.size).toBe(23)
    expect(target.excluded.get('white 9.5')).toBe('clipped (50.0 % of its pixels), in the target')
  })

  it('carries the standard errors through the conversion of primaries', () => {
    const readings: Readings = {
      patches: names.map((patch, i) => ({ patch, rgb: values[i]!, sd: [0.01, 0.02, 0.03], pixels: 100 })),
    }
    const encoding = resolveEncoding({ transfer: 'linear', primaries: 'bt2020' })
    const error = targetFromCamera(chart, readings, encoding, working).standardError.get('red')!
    const m = primariesConversion(resolvePrimaries('bt2020'), working)
    for (const c of [0, 1, 2] as const) {
      // Independent errors add by squares (standard statistics).
      const expected = Math.sqrt((m[c][0] * 0.001) ** 2 + (m[c][1] * 0.002) ** 2 + (m[c][2] * 0.003) ** 2)
      expect(error[c] / expected).toBeCloseTo(1, 6)
    }
  })
})

describe('targetFromReference', () => {
  it('is the chart’s values adapted to the working white: a neutral becomes neutral', () => {
    const { light } = targetFromReference(chart, 'C', working)
    for (const patch of chart.patches.filter(isNeutral)) {
      const [r, g, b] = light.get(patch.name)!
      // The greys are published at 0.3101, 0.3163, and C lies at 0.31006, 0.31616: in blue that is 1.4e-3.
      expect(Math.abs(r / g - 1)).toBeLessThan(2e-3)
      expect(Math.abs(b / g - 1)).toBeLessThan(2e-3)
      expect(g / patch.value![2]).toBeCloseTo(1, 3)
    }
  })

  it.each(['cat16', 'bradford'] as const)('adapts by %s as asked', (cat) => {
    const { light } = targetFromReference(chart, 'C', working, cat)
    const toWorking = multiply3(xyzToRgb(working), adaptation(illuminantWhites.C, illuminantWhites.D65, cat))
    const [x, y, Y] = chart.patches[14]!.value!
    const expected = apply3(toWorking, [(x / y) * Y, Y, ((1 - x - y) / y) * Y])
    for (const [c, value] of light.get('red')!.entries()) expect(value).toBeCloseTo(expected[c]!, 14)
  })

  it('gives the same light for the same colours in XYZ, xyY and Lab', () => {
    const lab: Chart = {
      ...chart,
      rows: 1,
      columns: 1,
      patches: [{ name: 'grey', value: [50, 0, 0] }],
      reference: { space: 'Lab', illuminant: 'D50', observer: 2 },
    }
    // L* 50 is 18.42 % of the white (CIE 15:2018).
    for (const value of targetFromReference(lab, 'D50', working).light.get('grey')!) {
      expect(value).toBeCloseTo(0.18418651851244416, 12)
    }
    const white = illuminantWhites.D50
    const XYZ: Vec3 = [(0.2 * white[0]) / white[1], 0.2, (0.2 * (1 - white[0] - white[1])) / white[1]]
    const as = (space: 'XYZ' | 'xyY', value: Vec3) =>
      targetFromReference(
        { ...lab, patches: [{ name: 'grey', value }], reference: { space, illuminant: 'D50', observer: 2 } },
        'D50',
        working,
      ).light.get('grey')!
    for (const target of [as('XYZ', XYZ), as('xyY', [white[0], white[1], 0.2])]) {
      for (const value of target) expect(value).toBeCloseTo(0.2, 12)
    }
  })

  it('warns where the values are for another illuminant or the 10° observer', () => {
    const codes = (of: Chart, illuminant: string) =>
      targetFromReference(of, illuminant, working).warnings.map((warning) => warning.code)
    const { wavelengths: _, ...bare } = chart
    expect(codes(bare, 'C')).toEqual([])
    expect(codes(bare, 'D65')).toEqual(['reference-adapted'])
    const wide: Chart = { ...bare, reference: { ...chart.reference!, observer: 10 } }
    expect(codes(wide, 'C')).toEqual(['reference-observer'])
  })

  it('computes from spectra what was not measured for that light, and its own white becomes neutral', () => {
    const D65 = targetFromReference(chart, 'D65', working)
    expect(D65.warnings).toEqual([])
    const flat = {
      ...chart,
      patches: chart.patches.map((patch) => ({ ...patch, reflectance: patch.reflectance!.map(() => 0.2) })),
    }
    const light = { name: 'lamp.csv', power: { nm: [380, 500, 780], values: [1, 9, 3] } }
    for (const value of targetFromReference(flat, light, working).light.get('red')!)
      expect(value).toBeCloseTo(0.2, 12)
    // What the target says of any reflectance gives its patches, whose spectra run straight between knots here.
    const ramp = chart.wavelengths!.map((nm) => (nm - 380) / 400)
    const { light: lights, reflectanceWeights } = targetFromReference(
      { ...chart, patches: [{ name: 'ramp', reflectance: ramp }] },
      light,
      working,
    )
    for (const [c, value] of lights.get('ramp')!.entries())
      expect(ramp.reduce((sum, at, k) => sum + at * reflectanceWeights![c]![k]!, 0)).toBeCloseTo(value, 10)
    const { wavelengths: _, ...bare } = chart
    expect(faultOf(() => targetFromReference(bare, light, working)).message).toContain('lamp.csv')
  })

  it('refuses an unknown illuminant and a chart without values', () => {
    const unknown = faultOf(() => targetFromReference(chart, 'D66', working))
    expect([unknown.code, unknown.message]).toEqual([
      'target-invalid',
      'reference illuminant "D66" is not known',
    ])
    expect(unknown.hint).toContain('D65')
    const { reference: _, wavelengths: __, ...bare } = chart
    expect(faultOf(() => targetFromReference(bare, 'D65', working)).code).toBe('target-invalid')
  })
})

describe('targetFromConsensus', () => {
  const scene = fc.array(thousandths(20, 900), { minLength: 24, maxLength: 24 })
  const gains = thousandths(100, 4000)
  const member = (id: string, lights: readonly Vec3[], gain: Vec3, weight?: number): ConsensusMember => ({
    id,
    readings: readingsOf(
      names,
      lights.map((light): Vec3 => [gain[0] * light[0], gain[1] * light[1], gain[2] * light[2]]),
    ),
    encoding: linear,
    ...(weight === undefined ? {} : { weight }),
  })
  const neutrals = chart.patches.filter(isNeutral).map((patch) => patch.name)
  const sums = (light: ReadonlyMap<string, Vec3>) =>
    ([0, 1, 2] as const).map((c) => neutrals.reduce((sum, name) => sum + light.get(name)![c], 0))

  it('cannot collapse: its neutrals have the geometric mean of the cameras’ own light, whatever they see', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(scene, gains), { minLength: 1, maxLength: 4 }), (cameras) => {
        const members = cameras.map(([lights, gain], i) => member(String(i), lights, gain))
        const target = targetFromConsensus(chart, members, working)
        const own = members.map((m) => sums(targetFromCamera(chart, m.readings, linear, working).light))
        const level = Math.exp(
          own.flat().reduce((sum, value) => sum + Math.log(value), 0) / (3 * members.length),
        )
        for (const sum of sums(target.light)) expect(sum / level).toBeCloseTo(1, 10)
      }),
      { numRuns: 100, endOnFailure: true },
    )
  })

  it('is each camera itself, but for level and balance, when they differ in nothing else', () => {
    fc.assert(
      fc.property(scene, gains, gains, (lights, one, two) => {
        const target = targetFromConsensus(
          chart,
          [member('a', lights, one), member('b', lights, two)],
          working,
        )
        // One factor a channel takes the scene to the target.
        for (const c of [0, 1, 2] as const) {
          const factors = names.map((name, i) => target.light.get(name)![c] / lights[i]![c])
          expect(Math.max(...factors) / Math.min(...factors)).toBeCloseTo(1, 10)
        }
      }),
      { numRuns: 100, endOnFailure: true },
    )
  })

  it('does not depend on the order of the cameras, and not on one of weight zero', () => {
    fc.assert(
      fc.property(scene, scene, scene, gains, (first, second, third, gain) => {
        const a = member('a', first, [1, 1, 1], 2)
        const b = member('b', second, gain, 1)
        const none = member('c', third, gain, 0)
        const one = targetFromConsensus(chart, [a, b], working)
        const other = targetFromConsensus(chart, [none, b, a], working)
        for (const name of names) {
          for (const c of [0, 1, 2] as const) {
            expect(other.light.get(name)![c] / one.light.get(name)![c]).toBeCloseTo(1, 11)
          }
        }
      }),
      { numRuns: 50, endOnFailure: true },
    )
  })

  it('lies nearer to the camera of more weight', () => {
    const one = names.map((_, i): Vec3 => [0.1 + 0.02 * (i % 7), 0.3, 0.3])
    const two = names.map((_, i): Vec3 => [0.1 + 0.02 * (i % 5), 0.3, 0.3])
    const distance = (weight: number) => {
      const target = targetFromConsensus(
        chart,
        [member('a', one, [1, 1, 1], weight), member('b', two, [1, 1, 1], 1)],
        working,
      )
      const alone = targetFromConsensus(chart, [member('a', one, [1, 1, 1])], working)
      const scale = sums(target.light)[0]! / sums(alone.light)[0]!
      return names.reduce(
        (sum, name) => sum + Math.abs(target.light.get(name)![0] / scale - alone.light.get(name)![0]),
        0,
      )
    }
    expect(distance(1) / distance(3)).toBeCloseTo(2, 10)
  })

  it('leaves out a patch that one camera lacks, and says which', () => {
    const lights = names.map((_, i): Vec3 => [0.1 + 0.02 * i, 0.3, 0.3])
    const a = member('a', lights, [1, 1, 1])
    const b = { ...a, id: 'b', readings: { patches: a.readings.patches.slice(1) } }
    const target = targetFromConsensus(chart, [a, b], working)
    expect(target.excluded.get('dark skin')).toBe('not read by b')
    expect(target.light.size).toBe(23)
  })

  it.each([
    ['no camera', []],
    [
      'weights of zero',
      [
        member(
          'a',
          names.map((): Vec3 => [0.2, 0.2, 0.2]),
          [1, 1, 1],
          0,
        ),
      ],
    ],
    [
      'a weight below zero',
      [
        member(
          'a',
          names.map((): Vec3 => [0.2, 0.2, 0.2]),
          [1, 1, 1],
          -1,
        ),
      ],
    ],
    ['no usable patch', [{ id: 'a', readings: { patches: [] }, encoding: linear }]],
  ])('refuses %s', (_, members) => {
    expect(faultOf(() => targetFromConsensus(chart, members, working)).code).toBe('target-invalid')
  })
})
