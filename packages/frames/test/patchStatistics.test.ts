import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { createFrame, type Quad } from '../src/index.ts'
import { figureRows } from '../src/sample/figureRows.ts'
import { patchStatistics } from '../src/sample/patchStatistics.ts'
import { normalNumbers, randomNumbers } from './support/scene.ts'

const side = 60
const box: Quad = [
  [0, 0],
  [side, 0],
  [side, side],
  [0, side],
]
const limits = { low: 0, high: 65535 }

function field(level: (x: number, y: number, c: number) => number) {
  const data = new Uint16Array(3 * side * side)
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++)
      for (let c = 0; c < 3; c++) data[3 * (y * side + x) + c] = Math.round(level(x, y, c))
  return createFrame(side, side, data)
}

const measure = (frame: ReturnType<typeof field>) =>
  patchStatistics(frame, figureRows(box, side, side), limits)!

/** Quantiles of the normal distribution at (k + ½)/n, by summing its density. */
function normalScores(n: number): number[] {
  const step = 1e-3
  const scores: number[] = []
  // From −8 on, by the midpoint rule: 1e-9 of the whole.
  let below = 0
  for (let x = -8; scores.length < n && x < 8; x += step) {
    below += (step * Math.exp(-((x + step / 2) ** 2) / 2)) / Math.sqrt(2 * Math.PI)
    while (scores.length < n && below >= (scores.length + 0.5) / n) scores.push(x + step / 2)
  }
  return scores
}

describe('patchStatistics', () => {
  it('reads a flat patch exactly', () => {
    const flat = measure(field((_x, _y, c) => 1000 + 100 * c))
    expect(flat).toMatchObject({
      mean: [1000, 1100, 1200],
      sd: [0, 0, 0],
      pixels: side * side,
      rejected: 0,
      clipped: 0,
    })
  })

  it('reads a pattern of which no pixel is what most are in every channel, and says that none of it is the patch', () => {
    // Of three kinds of pixels each is another level in one channel: each channel's median is no pixel's colour.
    const pattern = (x: number, _y: number, c: number) => (x % 3 === c ? 40000 : 20000)
    const measured = measure(field(pattern))
    expect(measured).toMatchObject({ pixels: side * side, rejected: 1 })
    for (const c of [0, 1, 2]) expect(measured.mean[c]).toBeCloseTo((40000 + 2 * 20000) / 3, 6)
    // √(p(1 − p)) of the distance between the levels, p a third; a two-hundredth for the normal tails that are not there.
    for (const c of [0, 1, 2]) expect(measured.sd[c]! / ((20000 * Math.SQRT2) / 3)).toBeCloseTo(1, 1)
  })

  it('finds mean and standard deviation of noise', () => {
    const normal = normalNumbers(3)
    const noisy = measure(field(() => 20000 + 300 * normal()))
    // Mean of 3600 pixels: standard error 300/60 = 5; four of them. Scatter of a standard deviation: 300/√7200 = 3.5.
    for (const c of [0, 1, 2]) {
      expect(Math.abs(noisy.mean[c]! - 20000)).toBeLessThan(20)
      expect(Math.abs(noisy.sd[c]! - 300)).toBeLessThan(14)
      expect(noisy.standardError[c]).toBeGreaterThan(4)
      expect(noisy.standardError[c]).toBeLessThan(10)
    }
  })

  it('states the standard deviation of normal noise as a whole, though its ends beyond three are cut off', () => {
    // N. L. Johnson, S. Kotz, N. Balakrishnan, Continuous Univariate Distributions 1 (1994), section 13.10: cut off at
    // ±3σ the variance is 1 − 6 φ(3) / (2 Φ(3) − 1) of the full one; 0.97333…, also scipy.stats.truncnorm.var(-3, 3).
    // Normal scores in place of random ones: the sample has that distribution to a part in ten thousand.
    const scores = normalScores(side * side)
    const next = randomNumbers(5)
    const shuffled = scores.map((score) => ({ score, at: next() })).sort((a, b) => a.at - b.at)
    const { sd } = measure(field((x, y) => 20000 + 1000 * shuffled[y * side + x]!.score))
    for (const c of [0, 1, 2]) expect(Math.abs(sd[c]! / 1000 - 1)).toBeLessThan(0.004)
  })

  // Uniform rounding of a step adds no more than half a step to any pixel, whichever the code it falls to.
  it.each([
    ['8 bits', (code: number) => code, 255],
    ['8 bits in 16', (code: number) => 257 * code, 65535],
    ['10 bits at the top of 16', (code: number) => 64 * code, 65535],
  ])(
    'leaves no pixel out for the rounding of %s, where noise is less than a step and the light falls off',
    (_, stored, top) => {
      for (const offset of [0, 0.13, 0.31, 0.5, 0.77]) {
        const normal = normalNumbers(11)
        const exact = (x: number, y: number, c: number) =>
          100 + offset + 20 * c + (0.9 * x) / side - (0.4 * y) / side + 0.3 * normal()
        const codes = field((x, y, c) => stored(Math.round(exact(x, y, c))))
        const frame = top === 255 ? createFrame(side, side, Uint8Array.from(codes.data)) : codes
        const { rejected, mean, sd } = patchStatistics(frame, figureRows(box, side, side), {
          low: 0,
          high: top,
        })!
        // A pixel four standard deviations off is one in sixteen thousand.
        expect(rejected).toBeLessThan(0.001)
        for (const c of [0, 1, 2]) {
          const step = stored(1)
          // Middle of the area: half a pixel before 30, 30. Four standard errors, of noise and rounding together.
          const middle = 100 + offset + 20 * c + (0.9 * 29.5) / side - (0.4 * 29.5) / side
          expect(Math.abs(mean[c]! / step - middle)).toBeLessThan(
            4 * (Math.hypot(0.3, Math.sqrt(1 / 12)) / side),
          )
          expect(sd[c]! / step).toBeGreaterThan(0.3)
          expect(sd[c]! / step).toBeLessThan(0.6)
        }
      }
    },
  )

  it.each([
    ['dust', (x: number, y: number) => (x * 31 + y * 17) % 97 < 3],
    ['a scratch', (x: number, y: number) => Math.abs(x - y) < 3],
    [
      'a printed letter',
      (x: number, y: number) => x > 15 && x < 40 && (Math.abs(y - 20) < 5 || Math.abs(x - 28) < 5),
    ],
  ])('is not moved by %s', (_, soiled) => {
    const normal = normalNumbers(5)
    const dirty = measure(
      field((x, y, c) => (soiled(x, y) ? (c === 1 ? 9000 : 20000) : 20000) + 300 * normal()),
    )
    for (const c of [0, 1, 2]) expect(Math.abs(dirty.mean[c]! - 20000)).toBeLessThan(20)
    expect(dirty.rejected).toBeGreaterThan(0.02)
    expect(dirty.sd[1]).toBeLessThan(330)
  })

  it('finds dirt on a gradient that is many times as large', () => {
    const normal = normalNumbers(5)
    const soiled = (x: number, y: number) => (x * 31 + y * 17) % 97 < 3
    const tilted = (x: number, y: number) => 20000 + 50 * x - 40 * y
    const dirty = measure(field((x, y) => tilted(x, y) + 20 * normal() - (soiled(x, y) ? 400 : 0)))
    for (const c of [0, 1, 2]) {
      // Four standard errors: 20/60, and the rounding of a code.
      expect(Math.abs(dirty.mean[c]! - tilted(29.5, 29.5))).toBeLessThan(2)
      expect(dirty.sd[c]).toBeLessThan(22)
    }
    expect(dirty.rejected).toBeGreaterThan(0.02)
  })

  it('finds dirt in floats, whose noise is far less than 1', () => {
    const normal = normalNumbers(5)
    const data = Float32Array.from({ length: 3 * side * side }, (_, i) => {
      const pixel = Math.floor(i / 3)
      return 0.25 + 0.0002 * normal() - (pixel % 31 === 0 ? 0.003 : 0)
    })
    const open = { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }
    const dirty = patchStatistics(createFrame(side, side, data), figureRows(box, side, side), open)!
    for (const c of [0, 1, 2]) expect(Math.abs(dirty.mean[c]! - 0.25)).toBeLessThan(2e-5)
    expect(dirty.rejected).toBeGreaterThan(0.03)
  })

  it('takes a gradient for a gradient, not for noise', () => {
    const tilted = measure(field((x, y) => 20000 + 50 * x - 20 * y))
    expect(tilted.gradient.x[0]).toBeCloseTo(50 * side, 3)
    expect(tilted.gradient.y[0]).toBeCloseTo(-20 * side, 3)
    expect(tilted.mean[0]).toBeCloseTo(20000 + 50 * (side - 1) * 0.5 - 20 * (side - 1) * 0.5, 3)
    expect(tilted.sd[0]).toBeLessThan(1)
  })

  it('knows that noise in 8 × 8 blocks averages out less', () => {
    const normal = normalNumbers(9)
    const blocks = Array.from({ length: 64 * 3 }, () => normal())
    const blocky = measure(field((x, y, c) => 20000 + 300 * blocks[3 * (8 * (y >> 3) + (x >> 3)) + c]!))
    // 7.5² blocks of independent level: error about 300/7.5 = 40, not 300/60 = 5.
    expect(blocky.standardError[0]).toBeGreaterThan(20)
    expect(blocky.standardError[0]).toBeLessThan(80)
  })

  it('counts both ends of the code range as clipped', () => {
    const torn = measure(field((x) => (x < 6 ? 0 : x >= 48 ? 65535 : 30000)))
    expect(torn.clipped).toBeCloseTo(18 / 60, 12)
    // One channel is enough, whichever it is, at either end.
    for (const channel of [0, 1, 2])
      for (const end of [0, 65535])
        expect(measure(field((x, _y, c) => (x < 6 && c === channel ? end : 30000))).clipped).toBeCloseTo(
          6 / 60,
          12,
        )
  })

  it('passes over samples that are not finite', () => {
    const data = new Float32Array(3 * side * side).fill(0.25)
    data.fill(Number.NaN, 0, 300)
    data.fill(Number.POSITIVE_INFINITY, 600, 700)
    const open = { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }
    const result = patchStatistics(createFrame(side, side, data), figureRows(box, side, side), open)!
    expect(result.mean).toEqual([0.25, 0.25, 0.25])
    expect(result.rejected).toBeGreaterThan(0)
    const none = createFrame(side, side, new Float32Array(3 * side * side).fill(Number.NaN))
    expect(patchStatistics(none, figureRows(box, side, side), open)).toBeUndefined()
  })

  it('follows a change of scale', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 6 }), (factor) => {
        const normal = normalNumbers(11)
        const values = Array.from({ length: 3 * side * side }, () => Math.round(5000 + 100 * normal()))
        const at = (x: number, y: number, c: number) => values[3 * (y * side + x) + c]!
        const once = measure(field(at))
        const more = measure(field((x, y, c) => factor * at(x, y, c)))
        for (const c of [0, 1, 2]) {
          expect(more.mean[c]! / factor).toBeCloseTo(once.mean[c]!, 6)
          expect(more.sd[c]! / factor).toBeCloseTo(once.sd[c]!, 6)
        }
      }),
      { numRuns: 5 },
    )
  })
})
