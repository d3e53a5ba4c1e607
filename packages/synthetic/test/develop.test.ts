import { identity3, resolveEncoding, resolveTransfer } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { blankPicture, type Development, develop } from '../src/index.ts'

const straight: Development = {
  exposure: 0,
  vignette: 0,
  flare: 0,
  noise: { shot: 0, read: 0, gain: [1, 1, 1], seed: 5 },
  matrix: identity3,
  black: [0, 0, 0],
  encoding: resolveEncoding('linear'),
  bits: 16,
}

describe('develop', () => {
  it('rounds light to the nearest code', () => {
    const { data } = develop(blankPicture(1, 1, [0.25, 0.3, 1]), straight)
    expect([...data]).toEqual([Math.round(0.25 * 65535), Math.round(0.3 * 65535), 65535])
  })

  it('clips at both ends of the code range', () => {
    const { data } = develop(blankPicture(1, 1, [-0.5, 3, 500]), straight)
    expect([...data]).toEqual([0, 65535, 65535])
  })

  it('clips at code 0 what a log curve puts below it', () => {
    const log = { base: 2, logSideSlope: 0.08, logSideOffset: 0.55, linSideSlope: 1, linSideOffset: 0.004 }
    // 0.08 · log2(0.005) + 0.55 = −0.061: below the curve's own zero, though there is light.
    const encoding = resolveEncoding({
      transfer: { log: { ...log, linSideBreak: 0.004 } },
      primaries: 'bt709',
      range: 'full',
    })
    for (const bits of [8, 16] as const) {
      const { data } = develop(blankPicture(1, 1, [0.001, 0, -0.002]), { ...straight, encoding, bits })
      expect([...data]).toEqual([0, 0, 0])
    }
  })

  it('noise: mean and deviation per channel are those asked for', () => {
    const noise = { shot: 2e-4, read: 3e-3, gain: [2, 1, 3], seed: 5 } as const
    const light = 0.4
    const { data } = develop(blankPicture(200, 200, [light, light, light]), { ...straight, noise })
    for (const c of [0, 1, 2] as const) {
      const values = Array.from(
        data.filter((_, i) => i % 3 === c),
        (code) => code / 65535,
      )
      const mean = values.reduce((sum, v) => sum + v, 0) / values.length
      const deviation = Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / values.length)
      const expected = Math.sqrt(noise.shot * noise.gain[c] * light + noise.read ** 2)
      // 40 000 pixels: the mean to four standard errors, the deviation (1 / √(2n) = 0.35 %) to four too.
      expect(Math.abs(mean - light)).toBeLessThan((4 * expected) / 200)
      expect(Math.abs(deviation / expected - 1)).toBeLessThan(0.014)
    }
  })

  it('noise of the three channels is not correlated', () => {
    const noise = { shot: 0, read: 0.01, gain: [1, 1, 1], seed: 9 } as const
    const { data } = develop(blankPicture(200, 200, [0.5, 0.5, 0.5]), { ...straight, noise })
    const mean = (a: number, b: number) => {
      let sum = 0
      for (let i = 0; i < data.length; i += 3) {
        sum += (data[i + a]! / 65535 - 0.5) * (data[i + b]! / 65535 - 0.5)
      }
      return sum / (data.length / 3) / noise.read ** 2
    }
    // Four standard errors of 40 000 pixels.
    for (const [a, b] of [
      [0, 1],
      [1, 2],
      [0, 2],
    ] as const) {
      expect(Math.abs(mean(a, b))).toBeLessThan(0.02)
    }
  })

  it('a vignette takes its share in the corner, and nothing in the middle', () => {
    const { data, width, height } = develop(blankPicture(401, 301, [0.8, 0.8, 0.8]), {
      ...straight,
      vignette: 0.3,
    })
    const at = (x: number, y: number) => data[(y * width + x) * 3]! / 65535
    expect(at(200, 150)).toBeCloseTo(0.8, 3)
    expect(at(0, 0)).toBeCloseTo(0.8 * 0.7, 2)
    expect(at(width - 1, height - 1)).toBeCloseTo(at(0, 0), 4)
  })

  it.each(['acescct', 'bt709', 'srgb', 'pq', 'hlg'] as const)(
    '%s: every code is the curve’s own, to a code',
    (name) => {
      const encoding = resolveEncoding(name)
      const count = 2000
      const picture = blankPicture(count, 1)
      for (let i = 0; i < count; i++) picture.data.fill((i / count) ** 2, i * 3, i * 3 + 3)
      const { data } = develop(picture, { ...straight, encoding })
      for (let i = 0; i < count; i++) {
        const exact = resolveTransfer(encoding.spec.transfer).encode(picture.data[i * 3]!, 0) * 65535
        // Half a code of rounding, and a half for the table.
        expect(Math.abs(data[i * 3]! - Math.min(exact, 65535))).toBeLessThanOrEqual(1)
      }
    },
  )
})
