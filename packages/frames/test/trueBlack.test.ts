import {
  builtinChart,
  decodeRgb,
  encodeRgb,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  targetFromCamera,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { referenceColours } from '../src/find/place/referenceColours.ts'
import { checkShot, foreignPatches, type Quad, sampleChart } from '../src/index.ts'
import { drawScene } from './support/scene.ts'

const chart = builtinChart('buoy47')
const encoding = resolveEncoding('bt709')
const corners: Quad = [
  [60, 50],
  [580, 60],
  [570, 420],
  [66, 410],
]

/** @param print light of every patch by that of the print file: a print that is not measured, or a camera */
function shoot(veil: number, print: (light: number) => number = (light) => light) {
  const colours = referenceColours(chart)!
  const frame = drawScene({
    width: 640,
    height: 480,
    corners,
    chart,
    noise: 0.004,
    level: (index) =>
      encodeRgb(
        encoding,
        colours[index]!.map((level) => (level > 0 ? print(level) : 0) + veil) as unknown as Vec3,
      ),
  })
  const sample = sampleChart({ frames: [frame], chart, corners, range: 'full', transfer: 'bt709' })
  return { frame, ...sample }
}

const flare = (veil: number, print?: (light: number) => number) =>
  checkShot({ areas: shoot(veil, print).areas, chart, decode: (rgb) => decodeRgb(encoding, rgb) }).find(
    ({ name }) => name === 'flare',
  )!

describe('a true black', () => {
  it('tells flare and pedestal', () => {
    expect(flare(0.02).value).toBeCloseTo(0.02, 3)
    expect(flare(0.02)).toMatchObject({ passed: false, message: expect.stringContaining('true black') })
    expect(flare(0.004)).toMatchObject({ passed: true })
  })

  it('tells it also where the darkest grey of the print is not as black as its value', () => {
    // Without a light trap these greys would pass for 2 % of flare.
    const grey = (light: number) => light + 0.02 * (1 - light)
    expect(flare(0.004, grey).value).toBeCloseTo(0.004, 3)
  })

  it('has a match take out the flare of a rendered frame, where the print is not as black as its values', () => {
    const { readings } = shoot(0.02, (light) => light + 0.01 * (1 - light))
    const working = resolvePrimaries('bt709')
    const target = targetFromReference(chart, 'D65', working)
    const lift = (patches: typeof readings.patches) =>
      matchCamera({ chart, readings: { patches }, encoding, target, working }).model.lift
    for (const value of lift(readings.patches)) expect(Math.abs(value + 0.02)).toBeLessThan(0.003)
    // The varnish of the print, too, would be taken for flare.
    for (const value of lift(readings.patches.filter(({ patch }) => patch !== 'true black')))
      expect(value).toBeLessThan(-0.026)
  })

  it('is no patch that something covers, and nothing that a match is made of or warns of', () => {
    const { areas, frame, readings } = shoot(0.03)
    const judged = foreignPatches(areas, chart, { frame, transfer: 'bt709' })
    expect(judged).toHaveLength(46)
    expect(judged.filter(({ foreign }) => foreign)).toEqual([])
    const working = resolvePrimaries('bt709')
    for (const target of [
      targetFromReference(chart, 'D65', working),
      targetFromCamera(chart, shoot(0).readings, encoding, working),
    ]) {
      expect(target.light.has('true black')).toBe(false)
      const match = matchCamera({ chart, readings, encoding, target, working })
      expect(match.patches.map(({ patch }) => patch)).not.toContain('true black')
      expect(match.warnings.filter(({ place }) => place?.patch === 'true black')).toEqual([])
      expect(match.summary.after.mean).toBeLessThan(0.5)
    }
  })
})
