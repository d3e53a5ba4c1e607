import {
  builtinChart,
  lineUp,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  settingOf,
  targetFromCamera,
  type Vec3,
} from '@isochip/core'
import { drawStudio, studioCamera } from '@isochip/synthetic'
import { describe, expect, test } from 'vitest'
import { shotMatch } from '../src/match/shotMatch.ts'

const chart = builtinChart('chart24')
const working = resolvePrimaries('bt709')
const bt709 = resolveEncoding('bt709')

describe('a shot of a line-up', () => {
  // The second one's curve is not the declared one, so that it is in doubt; the third is divided by the light on the chart.
  test.each([
    ['as declared', 9301, bt709, {}],
    ['recorded in another curve', 9302, resolveEncoding('hlg'), {}],
    ['with the light divided out', 9303, bt709, { evenness: 'divide' }],
  ] as const)('has the figures of a match: %s', (_name, number, encoding, options) => {
    const { camera, reference } = drawStudio(number)
    const target = targetFromCamera(chart, studioCamera(reference, chart).shoot(), bt709, working)
    const input = { chart, readings: studioCamera(camera, chart).shoot(), encoding, target, working }
    const shot = shotMatch(input, options)
    const match = matchCamera(input, options)
    expect(shot.summary.before.mean).toBe(match.summary.before.mean)
    expect(shot.summary.after.mean).toBe(match.summary.after.mean)
    expect(shot.patches.map(({ patch, weight, excluded }) => [patch, weight, excluded])).toEqual(
      match.patches.map(({ patch, weight, excluded }) => [patch, weight, excluded]),
    )
    expect(shot.encodingDoubt?.alternatives).toEqual(match.encodingDoubt?.alternatives)
    expect(shot.encodingDoubt !== undefined).toBe(encoding !== bt709)
  })

  test('of exchanged channels is no advice, and says nothing of the curve', () => {
    const { camera, reference } = drawStudio(9302)
    const target = targetFromCamera(chart, studioCamera(reference, chart).shoot(), bt709, working)
    const { patches } = studioCamera(camera, chart).shoot()
    const exchanged = {
      patches: patches.map(({ rgb: [r, g, b], ...patch }) => ({ ...patch, rgb: [b, r, g] as Vec3 })),
    }
    // As HLG the curve would be in doubt, were it not for the channels.
    for (const encoding of [bt709, resolveEncoding('hlg')]) {
      const input = { chart, readings: exchanged, encoding, target, working }
      for (const options of [{}, { evenness: 'divide' }] as const) {
        const shot = shotMatch(input, options)
        expect(shot.misread?.message).toContain('in the order')
        expect(matchCamera(input, options).warnings).toContainEqual(shot.misread)
        expect(shot.encodingDoubt).toBeUndefined()
        expect(() => lineUp(input, [], options)).toThrow(expect.objectContaining({ code: 'chart-misread' }))
      }
      expect(settingOf(input, matchCamera(input))).toBeUndefined()
    }
  })
})
