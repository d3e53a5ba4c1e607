import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import {
  acos,
  asin,
  atan2,
  cbrt,
  cos,
  exp,
  exp2,
  hypot,
  ln,
  log2,
  log10,
  norm,
  pow,
  sin,
} from '../../packages/core/src/index.ts'

const core = { acos, asin, atan2, cbrt, cos, exp, exp2, hypot, ln, log2, log10, norm, pow, sin }

/*
 * Against mpmath, whose values are right to the last bit: data/elementary/make.py. Units in the last place between ours and the
 * nearest double; 1 is what fdlibm promises of its kernels, 2 where two roundings of ours follow each other.
 */
const allowed = {
  exp: 1,
  exp2: 1,
  ln: 1,
  log2: 1,
  log10: 1,
  cbrt: 1,
  sin: 1,
  cos: 1,
  pow: 1,
  atan2: 1,
  hypot: 1,
  acos: 2,
  asin: 2,
} as const

const bits = new DataView(new ArrayBuffer(8))
/** Doubles of one sign, counted from the smallest: neighbours are one apart. */
function place(value: number): bigint {
  bits.setFloat64(0, value)
  const all = bits.getBigInt64(0)
  return all < 0n ? -(all & 0x7fffffffffffffffn) : all
}
function fromBits(digits: string): number {
  bits.setBigUint64(0, BigInt(`0x${digits}`))
  return bits.getFloat64(0)
}

const table = JSON.parse(
  readFileSync(new URL('data/elementary/mpmath.json', import.meta.url), 'utf8'),
) as Record<keyof typeof allowed, string[][]>

describe('elementary functions', () => {
  it.each(Object.entries(allowed))('%s is within %d ulp of mpmath', (name, ulps) => {
    const own = core[name as keyof typeof allowed] as (...of: number[]) => number
    const rows = table[name as keyof typeof allowed]
    expect(rows.length).toBeGreaterThan(100)
    const wrong = rows
      .map((row) => row.map(fromBits))
      .map((row) => ({ of: row.slice(0, -1), right: row.at(-1)!, own: own(...row.slice(0, -1)) }))
      .filter(({ right, own }) => {
        const apart = place(own) - place(right)
        return apart > BigInt(ulps) || apart < -BigInt(ulps)
      })
    expect(wrong).toEqual([])
  })

  it('have the special values of ECMA-262', () => {
    const specials = [
      0,
      -0,
      1,
      -1,
      2,
      3,
      -3,
      0.5,
      -0.5,
      Number.POSITIVE_INFINITY,
      Number.NEGATIVE_INFINITY,
      Number.NaN,
      1e300,
      1e31,
      5e-324,
    ]
    const wrong: unknown[] = []
    const compare = (name: string, own: number, right: number, ...of: number[]) => {
      // Whatever is 0, infinite or no number is prescribed; other values are implementation-approximated.
      const prescribed = right === 0 || !Number.isFinite(right)
      if (prescribed ? !Object.is(own, right) : !(Math.abs(own / right - 1) < 1e-15))
        wrong.push({ name, of, own, right })
    }
    for (const x of specials) {
      compare('exp', core.exp(x), Math.exp(x), x)
      compare('exp2', core.exp2(x), 2 ** x, x)
      compare('ln', core.ln(x), Math.log(x), x)
      compare('log2', core.log2(x), Math.log2(x), x)
      compare('log10', core.log10(x), Math.log10(x), x)
      compare('cbrt', core.cbrt(x), Math.cbrt(x), x)
      if (!(Math.abs(x) > 1e5 && Number.isFinite(x))) {
        compare('sin', core.sin(x), Math.sin(x), x)
        compare('cos', core.cos(x), Math.cos(x), x)
      }
      compare('asin', core.asin(x), Math.asin(x), x)
      compare('acos', core.acos(x), Math.acos(x), x)
      for (const y of specials) {
        compare('pow', core.pow(x, y), x ** y, x, y)
        compare('atan2', core.atan2(x, y), Math.atan2(x, y), x, y)
        compare('hypot', core.hypot(x, y), Math.hypot(x, y), x, y)
      }
    }
    expect(wrong).toEqual([])
  })

  it('are exact where the result is: powers of two, their logarithms, cubes', () => {
    for (let n = -1074; n <= 1023; n++) {
      const power = n < -1022 ? 2 ** -1022 * 2 ** (n + 1022) : 2 ** n
      expect(core.exp2(n)).toBe(power)
      expect(core.log2(power)).toBe(n)
    }
    for (let n = 1; n < 1000; n++) expect(core.cbrt(n * n * n)).toBe(n)
    expect([core.norm([3, 4]), core.norm([]), core.norm([1, 2, 2])]).toEqual([5, 0, 3])
  })
})
