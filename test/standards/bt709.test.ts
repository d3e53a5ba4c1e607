import { resolveTransfer } from '@isochip/core'
import { describe, expect, it } from 'vitest'

// ITU-R BT.709-6, item 1.2, and BT.2020-2, table 4, as printed: V = 1.099 L^0.45 − 0.099 for 1 ≥ L ≥ 0.018, else 4.500 L.
const bt709 = resolveTransfer('bt709')
const bt2020 = resolveTransfer('bt2020')

const printed = (alpha: number, beta: number) => (light: number) =>
  light >= beta ? alpha * light ** 0.45 - (alpha - 1) : 4.5 * light

const lights = Array.from({ length: 1001 }, (_, i) => i / 1000)

describe('BT.709', () => {
  it('is the printed formula, on both sides of the break', () => {
    const formula = printed(1.099, 0.018)
    // Both are the same few operations: what differs is rounding.
    for (const light of lights) expect(bt709.encode(light, 0)).toBeCloseTo(formula(light), 14)
  })

  it('takes 0 to 0, 0.018 to 0.081 and 1 to 1', () => {
    expect(bt709.encode(0, 0)).toBe(0)
    expect(bt709.encode(1, 0)).toBeCloseTo(1, 14)
    // 4.5 × 0.018; the other piece misses it by the three decimals of its constants.
    expect(bt709.encode(0.018, 0)).toBeCloseTo(0.081, 3)
    expect(bt709.encode(0.0179999, 0)).toBeCloseTo(0.081, 5)
  })

  // 18 % grey at 41 % of the range: common practice, no source.
  it('takes an 18 % grey to 41 %', () => expect(bt709.encode(0.18, 0)).toBeCloseTo(0.41, 2))
})

describe('BT.2020', () => {
  // One step of the 10-bit and of the 12-bit narrow range: the rounding of the printed constants must not show.
  it.each([
    { bits: 10, alpha: 1.099, beta: 0.018, steps: 876 },
    { bits: 12, alpha: 1.0993, beta: 0.0181, steps: 3504 },
  ])('is the printed $bits-bit formula within half a code', ({ alpha, beta, steps }) => {
    const formula = printed(alpha, beta)
    for (const light of lights) {
      expect(Math.abs(bt2020.encode(light, 0) - formula(light)) * steps).toBeLessThan(0.5)
    }
  })

  it('has two pieces that meet in level and slope, as note 1 of the table wants', () => {
    const beta = 0.018053968510807
    const step = 1e-7
    const below = bt2020.encode(beta - step, 0)
    const above = bt2020.encode(beta + step, 0)
    // 4.5 on both sides; the second derivative (about −137) leaves 1e-7 × 137 of it.
    expect((above - bt2020.encode(beta, 0)) / step).toBeCloseTo(4.5, 4)
    expect((bt2020.encode(beta, 0) - below) / step).toBeCloseTo(4.5, 4)
  })
})

describe('BT.1886', () => {
  const bt1886 = resolveTransfer('bt1886')

  // Annex 1: L = a · max(V + b, 0)^2.4 with b = 0 and a = L_W for a black of zero.
  it('is a power of 2.4 with black at 0 and white at 1', () => {
    expect(bt1886.decode(0, 0)).toBe(0)
    expect(bt1886.decode(1, 0)).toBe(1)
    for (const light of lights) expect(bt1886.decode(light, 0)).toBeCloseTo(light ** 2.4, 14)
  })

  it('keeps the ratio of two signals to the power 2.4 at every level', () => {
    for (const level of [0.1, 0.3, 0.5]) {
      expect(Math.log2(bt1886.decode(2 * level, 0) / bt1886.decode(level, 0))).toBeCloseTo(2.4, 12)
    }
  })
})
