import {
  apply3,
  applyModel,
  decodeRgb,
  type EncodingSpec,
  encodeRgb,
  fractionFromNominal,
  type MatchModel,
  nominalFromFraction,
  primariesConversion,
  resolveTransfer,
  type Vec3,
} from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  bakeLattice,
  bakeMatch,
  bakeShaped,
  type EncodedMatch,
  lutTransform,
  matchTransform,
} from '../src/index.ts'
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

/** Curves that no two channels share, and of more bends than a polynomial would bear. */
const measured: EncodingSpec = {
  transfer: {
    table: {
      code: [0, 0.2, 0.45, 0.7, 1],
      light: [
        [0, 0.05, 0.2, 0.6, 1],
        [0, 0.01, 0.31, 0.4, 1.1],
        [-0.01, 0.15, 0.21, 0.8, 0.9],
      ],
    },
  },
  primaries: 'p3-d65',
}

describe('a curve a channel', () => {
  // The steps of the chain as core has them one by one.
  const expected = ({ source, model, working, output, bits = 10 }: EncodedMatch, code: Vec3): Vec3 => {
    const nominal = code.map((x) => nominalFromFraction(x, source.range, bits)) as unknown as Vec3
    const light = applyModel(model, decodeRgb(source, nominal))
    const out = encodeRgb(output, apply3(primariesConversion(working, output.primaries), light))
    return out.map((x) => fractionFromNominal(x, output.range, bits)) as unknown as Vec3
  }
  const colour = fc.tuple(...([0, 1, 2] as const).map(() => fc.double({ min: 0, max: 1, noNaN: true })))

  it.each([
    ['in', matchOf(measured, { transfer: 'bt709', range: 'narrow' })],
    ['out', matchOf({ transfer: 'srgb', range: 'narrow' }, measured)],
    ['in and out', matchOf(measured, measured)],
  ])('goes %s as core has it', (_, match) => {
    const f = matchTransform(match)
    fc.assert(
      fc.property(colour, (code) => {
        const want = expected(match, code as unknown as Vec3)
        for (const [c, y] of f(code as unknown as Vec3).entries())
          expect(Math.abs(y - want[c]!)).toBeLessThan(1e-12)
      }),
      { endOnFailure: true },
    )
    const { tableRedFastest } = bakeMatch(match, { size: 3 })
    for (const [k, code] of [[0, 0, 0] as const, [0.5, 0, 0] as const, [1, 0, 0] as const].entries())
      for (const [c, y] of expected(match, code).entries())
        expect(Math.abs(tableRedFastest[3 * k + c]! - y)).toBeLessThan(1e-12)
    const { curve } = bakeShaped(match, { size: 2, curveSize: 5 })
    for (const [i, x] of [0, 0.25, 0.5, 0.75, 1].entries())
      for (const c of [0, 1, 2] as const) {
        const { source, output, bits = 10 } = match
        const light = resolveTransfer(source.spec.transfer).decode(
          nominalFromFraction(x, source.range, bits),
          c,
        )
        const want = fractionFromNominal(
          resolveTransfer(output.spec.transfer).encode(light, c),
          output.range,
          bits,
        )
        expect(Math.abs(curve.table[3 * i + c]! - want)).toBeLessThan(1e-12)
      }
  })
})

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
