import {
  type AffineParts,
  apply3,
  applyModel,
  builtinChart,
  illuminantWhites,
  invert3,
  matchCamera,
  multiply3,
  type OnSet,
  type PrimariesName,
  primariesConversion,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
  xyzFromXy,
  xyzToRgb,
} from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { affineParts } from './support/arbitraries.ts'
import { exactTarget } from './support/exactTarget.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const working = resolvePrimaries('bt709')
const reference = targetFromReference(chart, 'C', working)
const scene = names.map((name) => reference.light.get(name)!)

/** What is said of a camera that sees the scene through `error`. Noise-free. */
function said(error: (light: Vec3) => Vec3): OnSet {
  return matchCamera(
    {
      chart,
      readings: readingsOf(names, scene.map(error)),
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, scene),
      working,
    },
    { evenness: 'off' },
  ).onSet
}

describe('planted errors come back in words of the set', () => {
  it('0.3 stops under: open by 0.3 stops', () => {
    const k = 2 ** -0.3
    const onSet = said(([r, g, b]) => [k * r, k * g, k * b])
    expect(onSet.exposure).toBeCloseTo(0.3, 9)
    expect(onSet.whiteBalance.redOverGreen).toBeCloseTo(1, 9)
    expect(onSet.whiteBalance.mired).toBeCloseTo(0, 6)
    for (const term of Object.values(onSet.matrix)) expect(term).toBeCloseTo(0, 9)
  })

  it('red a tenth low, blue a twentieth high: R/G and B/G that put it right', () => {
    const onSet = said(([r, g, b]) => [0.9 * r, g, 1.05 * b])
    expect(onSet.exposure).toBeCloseTo(0, 9)
    expect(onSet.whiteBalance.redOverGreen).toBeCloseTo(1 / 0.9, 9)
    expect(onSet.whiteBalance.blueOverGreen).toBeCloseTo(1 / 1.05, 9)
    // Too little red and too much blue: the picture has to get warmer.
    expect(onSet.whiteBalance.mired).toBeGreaterThan(5)
  })

  it('green a twentieth high: it has to get less green', () => {
    expect(said(([r, g, b]) => [r, 1.05 * g, b]).whiteBalance.tint).toBeLessThan(-1)
  })

  it('balanced for D65 in the light of D50: 46 mired too warm', () => {
    const white = apply3(xyzToRgb(working), xyzFromXy(illuminantWhites.D50))
    const onSet = said((light) => [white[0] * light[0], white[1] * light[1], white[2] * light[2]])
    // CIE 015:2018: D65 6504 K, D50 5003 K: 153.8 − 199.9 mired. Krystek's locus is good to 0.3.
    expect(Math.abs(onSet.whiteBalance.mired - (1e6 / 6504 - 1e6 / 5003))).toBeLessThan(0.3)
  })

  it('black of red lifted by one percent, of green, a fifth too dark, by half, of blue sunk by half: as much to take off and to add, of the light that comes out', () => {
    const onSet = said(([r, g, b]) => [r + 0.01, 0.8 * g + 0.004, b - 0.005])
    for (const [c, percent] of [-1, -0.5, 0.5].entries())
      expect(onSet.blackBalance[c]).toBeCloseTo(percent, 7)
  })

  const tests: readonly (readonly [PrimariesName, string])[] = [
    ['bt709', 'the working primaries'],
    ['bt2020', 'wider ones'],
    ['ap1', 'wider ones with another white'],
  ]
  it.each(tests)('lift, gain and the six matrix terms, in a camera of %s (%s)', (name) => {
    const primaries = resolvePrimaries(name)
    const declared = primariesConversion(primaries, working)
    fc.assert(
      fc.property(affineParts, (parts: AffineParts) => {
        // The camera's own error is inverted: it sees what lift, gain and matrix, and then the conversion, put right.
        const whole = multiply3(declared, parts.matrix)
        const back = invert3(whole)
        fc.pre(back !== undefined)
        const seen = scene.map((light): Vec3 => {
          const level = apply3(back, light)
          const channel = (c: 0 | 1 | 2) => level[c] / parts.gain[c] - parts.lift[c]
          return [channel(0), channel(1), channel(2)]
        })
        fc.pre(seen.every((light) => Math.max(...light) > 0))
        const { onSet } = matchCamera(
          {
            chart,
            readings: readingsOf(names, seen),
            encoding: resolveEncoding({ transfer: 'linear', primaries: name }),
            target: exactTarget(names, scene),
            working,
          },
          { evenness: 'off' },
        )
        expect(onSet.exposure).toBeCloseTo(Math.log2(parts.gain[1]), 7)
        expect(onSet.whiteBalance.redOverGreen).toBeCloseTo(parts.gain[0] / parts.gain[1], 7)
        expect(onSet.whiteBalance.blueOverGreen).toBeCloseTo(parts.gain[2] / parts.gain[1], 7)
        for (const c of [0, 1, 2] as const) {
          expect(onSet.blackBalance[c]).toBeCloseTo(100 * parts.gain[c] * parts.lift[c], 5)
        }
        const [[, rg, rb], [gr, , gb], [br, bg]] = parts.matrix
        for (const [term, value] of Object.entries({ rg, rb, gr, gb, br, bg })) {
          expect(onSet.matrix[term as keyof OnSet['matrix']], term).toBeCloseTo(value, 7)
        }
      }),
      { numRuns: 20, endOnFailure: true },
    )
  })
})

describe('primaries on the vectorscope', () => {
  /** ITU-R BT.709-6, items 1.2, 3.2 and 3.3, written out: hue angle (degrees) and distance from the centre. */
  const scope = (light: Vec3) => {
    const [r, g, b] = light.map((v) => (v >= 0.018 ? 1.099 * v ** 0.45 - 0.099 : 4.5 * v)) as [
      number,
      number,
      number,
    ]
    const y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    const [cb, cr] = [(b - y) / 1.8556, (r - y) / 1.5748]
    return { hue: (Math.atan2(cr, cb) * 180) / Math.PI, distance: Math.hypot(cb, cr) }
  }
  const level = ((0.75 + 0.099) / 1.099) ** (1 / 0.45)
  const bars: Record<string, Vec3> = {
    red: [level, 0, 0],
    yellow: [level, level, 0],
    green: [0, level, 0],
    cyan: [0, level, level],
    blue: [0, 0, level],
    magenta: [level, 0, level],
  }

  it('stay where they are under a match that is none', () => {
    for (const { hue, saturation } of said((light) => light).primaries) {
      expect(hue).toBeCloseTo(0, 7)
      expect(saturation).toBeCloseTo(1, 9)
    }
  })

  it('move as the matrix moves them', () => {
    fc.assert(
      fc.property(affineParts, ({ matrix }) => {
        const back = invert3(matrix)
        fc.pre(back !== undefined)
        const seen = scene.map((light) => apply3(back, light))
        fc.pre(seen.every((light) => Math.max(...light) > 0))
        const { onSet } = matchCamera(
          {
            chart,
            readings: readingsOf(names, seen),
            encoding: resolveEncoding('linear'),
            target: exactTarget(names, scene),
            working,
          },
          { evenness: 'off' },
        )
        for (const { name, hue, saturation } of onSet.primaries) {
          const before = scope(bars[name]!)
          const model = { kind: 'matrix' as const, lift: [0, 0, 0] as Vec3, gain: [1, 1, 1] as Vec3, matrix }
          const after = scope(applyModel(model, bars[name]!))
          const turn = ((after.hue - before.hue + 540) % 360) - 180
          // The match is exact to 1e-9; the curve's toe is steepest, 4.5.
          expect(Math.abs(hue - turn)).toBeLessThan(1e-3)
          expect(saturation).toBeCloseTo(after.distance / before.distance, 4)
        }
      }),
      { numRuns: 20, endOnFailure: true },
    )
  })
})
