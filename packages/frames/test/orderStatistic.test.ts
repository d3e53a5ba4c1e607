import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { orderStatistic } from '../src/sample/orderStatistic.ts'

/** Whole numbers, so that equal ones come up often, with an infinity now and then. */
const values = fc.array(fc.oneof(fc.integer({ min: -20, max: 20 }), fc.constant(Number.POSITIVE_INFINITY)), {
  minLength: 1,
  maxLength: 80,
})

describe('orderStatistic', () => {
  it('is what sorting puts there, and loses no value', () => {
    fc.assert(
      fc.property(values, fc.nat(1000), (list, nat) => {
        const k = nat % list.length
        const sorted = Float64Array.from(list).sort()
        const given = Float64Array.from(list)
        expect(orderStatistic(given, k)).toBe(sorted[k])
        expect(given.sort()).toEqual(sorted)
      }),
      { endOnFailure: true },
    )
  })
  it('ends on what is sorted already, sorted backwards, rising and falling, or all the same', () => {
    const count = 2000
    for (const list of [
      Float64Array.from({ length: count }, (_, i) => i),
      Float64Array.from({ length: count }, (_, i) => count - i),
      new Float64Array(count).fill(7),
      Float64Array.from({ length: count }, (_, i) => Math.abs(i - count / 2)),
      Float64Array.from({ length: count }, (_, i) => -Math.abs(i - count / 2)),
    ])
      for (const k of [0, 999, count - 1])
        expect(orderStatistic(list.slice(), k)).toBe(list.slice().sort()[k])
  })
  it('refuses NaN, which stands nowhere', () => {
    expect(() => orderStatistic(Float64Array.of(Number.NaN, Number.NaN, Number.NaN), 1)).toThrow(RangeError)
  })
})
