import type { MatchModel, Vec3 } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bakeLattice, bakeMatch, type EncodedMatch, lutTransform, matchTransform } from '../src/index.ts'
import { matchOf, rootPolynomialModel, strongModel } from './support/matches.ts'

/** Does nothing. */
const neutral: MatchModel = {
  ...strongModel,
  lift: [0, 0, 0],
  gain: [1, 1, 1],
  matrix: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
}

describe('matchTransform', () => {
  it('narrow range: a neutral match leaves every 10-bit code where it was', () => {
    // BT.2020 with the exact constants, because those that BT.709 prints leave a step of a quarter of a code.
    const f = matchTransform(
      matchOf(
        { transfer: 'bt2020', primaries: 'bt709', range: 'narrow' },
        { transfer: 'bt2020', primaries: 'bt709', range: 'narrow' },
        neutral,
      ),
    )
    for (let code = 4; code <= 1019; code++) {
      const x = code / 1023
      for (const y of f([x, x, x])) expect(Math.abs(y - x)).toBeLessThan(1e-12)
    }
  })
  it.each([
    // ITU-R BT.709-6, item 4.6: black 64 and nominal peak 940 at 10 bits; BT.2020-2, table 5: 256 and 3760 at 12 bits.
    [10, 64, 940],
    [12, 256, 3760],
    // BT.709-6, item 4.6, 8 bits.
    [8, 16, 235],
  ])('narrow to full at %i bits: black and nominal peak become 0 and 1, and back', (bits, black, peak) => {
    const top = 2 ** bits - 1
    const narrow = { transfer: 'bt709', range: 'narrow' } as const
    const toFull = matchTransform(matchOf(narrow, 'bt709', neutral, bits))
    const toNarrow = matchTransform(matchOf('bt709', narrow, neutral, bits))
    for (const [code, full] of [
      [black, 0],
      [peak, 1],
    ] as const) {
      for (const y of toFull([code / top, code / top, code / top])) expect(y).toBeCloseTo(full, 12)
      for (const y of toNarrow([full, full, full])) expect(y * top).toBeCloseTo(code, 9)
    }
  })
  it('keeps what is below black and above white', () => {
    const f = matchTransform(
      matchOf({ transfer: 'bt709', range: 'narrow' }, { transfer: 'bt709', range: 'narrow' }, neutral),
    )
    expect(f([1, 0, 1])[0]).toBeGreaterThan(0.999)
    expect(f([1, 0, 1])[1]).toBeLessThan(0.001)
  })
  it('converts to the primaries of the output: BT.2087-0, table 1, M2 for BT.709 in BT.2020', () => {
    const f = matchTransform(matchOf('linear', { transfer: 'linear', primaries: 'bt2020' }, neutral))
    // Four decimals printed.
    const printed = [
      [0.6274, 0.0691, 0.0164],
      [0.3293, 0.9195, 0.088],
      [0.0433, 0.0114, 0.8956],
    ]
    const inputs: Vec3[] = [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
    ]
    inputs.forEach((input, column) => {
      f(input).forEach((y, row) => {
        expect(Math.abs(y - printed[column]![row]!)).toBeLessThan(1e-4)
      })
    })
  })
})

const chains: [string, EncodedMatch][] = [
  ['BT.709 → BT.709', matchOf('bt709', 'bt709')],
  ['narrow BT.709 → full sRGB', matchOf({ transfer: 'bt709', range: 'narrow' }, 'srgb')],
  ['log → narrow BT.709', matchOf('acescct', { transfer: 'bt709', range: 'narrow' })],
  ['PQ → HLG', matchOf('pq', 'hlg')],
  ['linear → ACEScc', matchOf('linear', 'acescc')],
  ['root polynomial', matchOf('bt709', 'bt709', rootPolynomialModel)],
]

describe('bakeMatch', () => {
  it.each(chains)('equals the match on its lattice: %s', (_, match) => {
    const f = matchTransform(match)
    const lut = bakeMatch(match, { size: 9 })
    const apply = lutTransform(lut)
    fc.assert(
      fc.property(fc.nat(8), fc.nat(8), fc.nat(8), (i, j, k) => {
        const input: Vec3 = [i / 8, j / 8, k / 8]
        const expected = f(input)
        apply(input).forEach((y, c) => {
          expect(Math.abs(y - expected[c]!)).toBeLessThan(1e-13)
        })
      }),
    )
    // One table, two ways; apart by the order of two matrix products at most.
    const plain = bakeLattice(f, { size: 9 }).tableRedFastest
    lut.tableRedFastest.forEach((y, i) => {
      expect(Math.abs(y - plain[i]!)).toBeLessThan(1e-13)
    })
  })
  it('never bakes NaN', () => {
    const broken = { ...strongModel, gain: [1, Number.NaN, 1] as Vec3 }
    expect(() => bakeMatch(matchOf('bt709', 'bt709', broken), { size: 3 })).toThrow('expected finite numbers')
    expect(() => bakeLattice(() => [0, Number.POSITIVE_INFINITY, 0], { size: 3 })).toThrow(
      'the transform gives (0, Infinity, 0) for the input (0, 0, 0), expected finite numbers',
    )
  })
  it.each([1, 257, 2.5, Number.NaN])('refuses size %s before it reserves a table', (size) => {
    expect(() => bakeLattice((x) => x, { size })).toThrow(`lattice size is ${size}`)
  })
})
