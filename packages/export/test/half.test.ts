import { expect, test } from 'vitest'
import { halfMax, halfTowardsZero, halfValue, nearestHalf } from '../src/clf/half.ts'

// IEEE 754-2019, binary16: one bit of sign, five of exponent (bias 15), ten of fraction.
const finite = Array.from({ length: 0x10000 }, (_, bits) => bits).filter((bits) => ((bits >> 10) & 31) !== 31)

test('every finite half is the nearest to itself, and what lies towards zero of it is itself', () => {
  const value = (bits: number) => halfValue(bits)
  const wrong = finite.filter((bits) => {
    // Minus zero is zero.
    const own = bits === 0x8000 ? 0 : bits
    return nearestHalf(value(bits)) !== own || halfTowardsZero(value(bits)) !== own
  })
  expect(wrong).toEqual([])
})

test('between two halves: the nearer one, at the middle the even one', () => {
  for (const bits of [0x0000, 0x0001, 0x03ff, 0x0400, 0x3bff, 0x3c00, 0x3c01, 0x7bfe]) {
    const [low, high] = [halfValue(bits), halfValue(bits + 1)]
    expect(nearestHalf(low + 0.4 * (high - low))).toBe(bits)
    expect(nearestHalf(low + 0.6 * (high - low))).toBe(bits + 1)
    expect(nearestHalf((low + high) / 2)).toBe(bits % 2 === 0 ? bits : bits + 1)
    expect(halfTowardsZero(low + 0.9 * (high - low))).toBe(bits)
  }
})

test('beyond the largest one stands the largest; infinities and what is no number are told by their exponent', () => {
  expect(halfValue(0x7bff)).toBe(halfMax)
  expect(nearestHalf(1e9)).toBe(0x7bff)
  expect(nearestHalf(-1e9)).toBe(0xfbff)
  expect([0x7c00, 0xfc00, 0x7e00].map(halfValue)).toEqual([
    Number.POSITIVE_INFINITY,
    Number.NEGATIVE_INFINITY,
    Number.NaN,
  ])
})
