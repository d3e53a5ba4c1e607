import {
  apply3,
  builtinChart,
  decodeRgb,
  type EncodingSpec,
  encodeRgb,
  type IsochipError,
  matchCamera,
  measureTransfer,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'

const working = resolvePrimaries('bt709')

/** A camera that codes what it sees, crosstalk and all, by a published curve which the fit is not told. */
function shoot(chartId: string, spec: EncodingSpec, crosstalk: readonly [Vec3, Vec3, Vec3]) {
  const chart = builtinChart(chartId)
  const target = targetFromReference(chart, chartId === 'chart24' ? 'C' : 'D65', working)
  const encoding = resolveEncoding(spec)
  const patches = chart.patches.map((patch) => ({
    patch: patch.name,
    rgb: encodeRgb(encoding, apply3(crosstalk, target.light.get(patch.name)!)),
  }))
  return { chart, target, encoding, readings: { patches } }
}

const crosstalk = [
  [0.9, 0.08, 0.02],
  [0.04, 0.93, 0.03],
  [0.01, 0.12, 0.87],
] as const

// ACEScct stands for a camera's log curve; its light is kept in BT.709 primaries here.
const curves: readonly (readonly [string, EncodingSpec])[] = [
  ['BT.709', 'bt709'],
  ['sRGB', 'srgb'],
  ['a power of 2.6', { transfer: { power: 2.6 }, primaries: 'bt709' }],
  ['ACEScct', { transfer: 'acescct', primaries: 'bt709' }],
]

describe('a transfer curve that is not known', () => {
  for (const [name, spec] of curves) {
    for (const chartId of ['chart24', 'quay48']) {
      it(`${name} on ${chartId}: measured together with the match, the patches come out`, () => {
        const { chart, target, encoding, readings } = shoot(chartId, spec, crosstalk)
        const measured = measureTransfer({ chart, readings, target, working, primaries: working })
        const found = resolveEncoding({ transfer: { table: measured.table }, primaries: 'bt709' })
        const match = matchCamera({ chart, readings, encoding: found, target, working })
        // Told the curve, the match is exact; measuring it costs what six (chart24) or eight greys leave open.
        expect(match.summary.after.mean).toBeLessThan(0.5)
        expect(match.summary.after.max).toBeLessThan(2)

        // Between the chart's darkest and lightest code values the curve itself is right, up to lift and gain.
        const greys = [0.05, 0.1, 0.2, 0.4, 0.7].map((level): Vec3 => [level, level, level])
        for (const grey of greys) {
          const light = decodeRgb(found, encodeRgb(encoding, grey))
          expect(Math.abs(Math.log2(light[1] / grey[1]))).toBeLessThan(0.06)
        }
      })
    }
  }

  it('rises strictly in every channel', () => {
    const { chart, target, readings } = shoot('chart24', 'bt709', crosstalk)
    const { table } = measureTransfer({ chart, readings, target, working, primaries: working })
    for (const channel of table.light) {
      for (let i = 1; i < channel.length; i++) expect(channel[i]!).toBeGreaterThan(channel[i - 1]!)
    }
  })

  it('is refused with too few grey levels', () => {
    const { chart, target, readings } = shoot('chart24', 'bt709', crosstalk)
    const few = { patches: readings.patches.filter(({ patch }) => !patch.startsWith('neutral')) }
    expect(() => measureTransfer({ chart, readings: few, target, working, primaries: working })).toThrow(
      expect.objectContaining({ code: 'too-few-patches' }) as IsochipError,
    )
  })

  it('takes greys that repeat, fall a little or clip as they are', () => {
    const { chart, target, readings } = shoot('chart24', 'bt709', crosstalk)
    const greys = new Map(readings.patches.map(({ patch, rgb }) => [patch, rgb]))
    const beside = greys.get('neutral 6.5')!
    const changed: Record<string, readonly [number, number, number]> = {
      'white 9.5': [1, 1, 1],
      'neutral 8': [1, 1, 1],
      // Green falls by three tenths of a thousandth after the darker grey, as in a photograph.
      'neutral 5': [beside[0] + 0.02, beside[1] + 0.0003, beside[2]],
    }
    const patches = readings.patches.map(({ patch, rgb }) => ({ patch, rgb: changed[patch] ?? rgb }))
    const { table, levels } = measureTransfer({
      chart,
      readings: { patches },
      target,
      working,
      primaries: working,
    })
    expect(levels).toBeGreaterThanOrEqual(3)
    for (const channel of table.light)
      for (let i = 1; i < channel.length; i++) expect(channel[i]!).toBeGreaterThan(channel[i - 1]!)
  })

  it('is refused where code values do not rise with the light', () => {
    const { chart, target, readings } = shoot('chart24', 'bt709', crosstalk)
    const swapped = readings.patches.map((reading) => {
      const other = { 'neutral 5': 'neutral 6.5', 'neutral 6.5': 'neutral 5' }[reading.patch] ?? reading.patch
      return { patch: reading.patch, rgb: readings.patches.find(({ patch }) => patch === other)!.rgb }
    })
    expect(() =>
      measureTransfer({ chart, readings: { patches: swapped }, target, working, primaries: working }),
    ).toThrow(expect.objectContaining({ code: 'readings-invalid' }) as IsochipError)
  })
})
