import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { PiecewisePolynomial } from '../src/bake/piecewisePolynomial.ts'

// What the class promises: of 1, or of the value where that is larger.
const tolerance = 1e-14
const apart = (y: number, exact: number) => Math.abs(y - exact) / Math.max(1, Math.abs(exact))
/** −1000…1000, as many in every octave down to 1e-6. */
const sizes = fc.tuple(fc.integer({ min: -60_000, max: 30_000 }), fc.constantFrom(1, -1))
const sized = sizes.map(([log, sign]) => sign * 10 ** (log / 10_000))

function agrees(curve: (x: number) => number, numbers: fc.Arbitrary<number> = sized): void {
  const pieces = new PiecewisePolynomial(curve)
  fc.assert(
    fc.property(numbers, (x) => {
      expect(apart(pieces.at(x), curve(x))).toBeLessThan(tolerance)
    }),
    { numRuns: 5000, endOnFailure: true },
  )
}

describe('PiecewisePolynomial', () => {
  it.each([0.45, 1 / 0.45, 1 / 2.4, 2.4])(
    'is the operator of ECMA-262: |x| ** %d with the sign of x',
    (exponent) => agrees((x) => Math.sign(x) * Math.abs(x) ** exponent),
  )
  it('is the logarithm of ECMA-262', () => agrees((x) => Math.log2(Math.abs(x))))
  it('is the exponential of ECMA-262', () =>
    agrees((x) => Math.exp(6.9 * x), fc.double({ min: -1.2, max: 1.2, noNaN: true })))

  // ITU-R BT.709-6, item 1.2: its rounded constants leave a step and a bend at 0.018.
  const bt709 = (light: number) => (light < 0.018 ? 4.5 * light : 1.099 * light ** 0.45 - 0.099)
  it('keeps the step and the bend of BT.709 where they are', () => {
    agrees(bt709)
    agrees(
      bt709,
      fc.integer({ min: -1000, max: 1000 }).map((n) => 0.018 + n * 1e-6),
    )
    expect(new PiecewisePolynomial(bt709).at(0.018)).toBe(bt709(0.018))
  })
  it('sees a step at the last number of a piece, and at its first', () => {
    for (const edge of [1.5, 1.5 - 2 ** -52, 1.5 + 2 ** -52, 1.5 + 2 ** -20]) {
      const step = (x: number) => (x < edge ? x : x + 1e-9)
      const pieces = new PiecewisePolynomial(step)
      for (let n = -40; n <= 40; n++) {
        for (const x of [edge + n * 2 ** -52, edge + n * 2 ** -22]) {
          expect(apart(pieces.at(x), step(x))).toBeLessThan(tolerance)
        }
      }
    }
  })
  it('is a curve of straight lines too', () => {
    agrees(
      (x) => {
        const at = Math.floor(x * 50)
        const value = (i: number) => i + Math.sin(i)
        return value(at) + (x * 50 - at) * (value(at + 1) - value(at))
      },
      fc.double({ min: -2, max: 2, noNaN: true }),
    )
  })
  it('is the curve itself for what no picture holds', () => {
    const pieces = new PiecewisePolynomial((x) => 3 * x + 1)
    for (const x of [0, -0, 1e-9, -1e-300, 64, -1e9, Number.POSITIVE_INFINITY])
      expect(pieces.at(x)).toBe(3 * x + 1)
    expect(pieces.at(Number.NaN)).toBeNaN()
  })
  it('makes a piece whole or not at all, where the curve throws', () => {
    let asked = 0
    const curve = (x: number) => {
      if (++asked === 10) throw new RangeError('once')
      return x < 0.502 ? x : x + 0.1
    }
    const pieces = new PiecewisePolynomial(curve)
    expect(() => pieces.at(0.503)).toThrow('once')
    expect(pieces.at(0.503)).toBe(0.603)
  })
  it('does many at once, every so many of them', () => {
    const pieces = new PiecewisePolynomial((x) => x * x)
    const values = Float64Array.of(9, 0.5, 9, 9, -0.25, 9, 9, 1e-5).subarray(1)
    pieces.each(values, 0, 3)
    const expected = [0.25, 9, 9, 0.0625, 9, 9, 1e-10]
    values.forEach((y, i) => {
      expect(Math.abs(y - expected[i]!)).toBeLessThan(tolerance)
    })
  })
})
