import { resolveTransfer, type Vec3 } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { integerNodes } from '../src/bake/bounded/integerNodes.ts'
import {
  bakeLattice,
  bakeMatch,
  bakeShaped,
  chooseLattice,
  clfFromLut,
  compareTransforms,
  lutTransform,
  matchTransform,
  measureLut,
  outputLab,
  processListTransform,
  readClf,
  samplePoints,
  writeClf,
} from '../src/index.ts'
import { matchOf, neutralModel, rootPolynomialModel } from './support/matches.ts'

const narrow = { transfer: 'bt709', range: 'narrow' } as const

describe('samplePoints', () => {
  it('fills the cube evenly: every one of 4³ boxes gets its share of 6400 points, within a fifth', () => {
    const boxes = new Array<number>(64).fill(0)
    for (const [r, g, b] of samplePoints(6400)) {
      boxes[Math.floor(r * 4) + 4 * Math.floor(g * 4) + 16 * Math.floor(b * 4)]!++
    }
    expect(Math.min(...boxes)).toBeGreaterThan(80)
    expect(Math.max(...boxes)).toBeLessThan(120)
  })
})

describe('measureLut', () => {
  it('finds nothing where there is nothing: a linear match between linear encodings', () => {
    const match = matchOf('linear', 'linear', neutralModel)
    const quality = measureLut(bakeMatch(match, { size: 5 }), matchTransform(match), {
      lab: outputLab(match.output),
      samples: 2000,
      points: [[0.2, 0.3, 0.4]],
    })
    for (const way of [quality.tetrahedral, quality.trilinear!]) {
      for (const region of Object.values(way)) expect(region.maxCode).toBeLessThan(1e-12)
    }
    expect(quality.tetrahedral.points.points).toBe(1)
    expect([quality.blackError, quality.whiteError]).toEqual([0, 0])
    expect(quality.neutralSpread).toBeLessThan(1e-12)
  })
  it('finds the bow of a parabola between nodes: a quarter of a cell squared, times the difference', () => {
    // x² on nodes 1/4 apart: the chord is off by (1/8)² in the middle of a cell.
    const exact = (rgb: Vec3): Vec3 => [rgb[0] ** 2, rgb[1] ** 2, rgb[2] ** 2]
    const lut = bakeLattice(exact, { size: 5 })
    const { tetrahedral } = measureLut(lut, exact, { lab: () => [50, 0, 0], samples: 20_000 })
    expect(tetrahedral.neutral.maxCode).toBeCloseTo(1 / 64, 12)
    expect(tetrahedral.everywhere.maxCode).toBeCloseTo(1 / 64, 4)
    expect(tetrahedral.everywhere.maxDE00).toBeLessThan(1e-9)
  })
  it('states the shares that whole numbers cut off', () => {
    const lut = bakeLattice(([r]) => [r * 2 - 0.5, 0.5, 0.5], { size: 5 })
    // Red nodes −0.5, 0, 0.5, 1, 1.5: a fifth of a third below, a fifth of a third above.
    const { below, above } = measureLut(lut, (x) => x, { lab: () => [50, 0, 0], samples: 10 })
    expect([below, above]).toEqual([1 / 15, 1 / 15])
  })
  it('black, white and neutrals of a match that keeps them, through a narrow-range lattice', () => {
    const match = matchOf(narrow, narrow, neutralModel)
    const quality = measureLut(bakeMatch(match, { size: 33 }), matchTransform(match), {
      lab: outputLab(match.output),
      samples: 100,
    })
    expect(quality.blackError).toBeLessThan(1e-12)
    expect(quality.whiteError).toBeLessThan(1e-12)
    expect(quality.neutralSpread).toBeLessThan(1e-12)
  })
  it('a wide log encoding: says how much the output cannot hold, and measures the rest', () => {
    const match = matchOf('acescct', 'bt709', neutralModel)
    const exact = matchTransform(match)
    const { outside, tetrahedral } = measureLut(bakeMatch(match, { size: 65 }), exact, {
      lab: outputLab(match.output),
      samples: 5000,
    })
    const held = [...samplePoints(5000)].filter((x) => exact(x).every((y) => y >= 0 && y <= 1)).length
    expect(outside).toBeCloseTo(1 - held / 5000, 3)
    expect(outside).toBeGreaterThan(0.5)
    expect(tetrahedral.everywhere.points).toBe(Math.round((1 - outside) * 5000))
  })
  it('says what a box makes of it that stores nodes from 0 to 1', () => {
    // Red to 1.2 on two nodes: at a half the lattice has 0.6, and 0.5 with its nodes cut; at the upper end both have 1.
    const lut = bakeLattice(([r, g, b]) => [1.2 * r, g, b], { size: 2 })
    const half = [0.5, 0.5, 0.5] as const
    expect(integerNodes(lut, Float64Array.of(...half, 1, 1, 1, 0, 0, 0, 0.02, 1, 1))).toEqual({
      worst: expect.closeTo(0.1 * 1023, 9),
      // 0.02 is off by 0.004 of 1: 4.09 codes of 10 bits, just more than what is seen.
      share: 0.5,
    })
    const held = bakeLattice((rgb) => rgb, { size: 2 })
    expect(integerNodes(held, Float64Array.of(...half))).toEqual({ worst: 0, share: 0 })
  })
  it('the mean of a single point is its own, and of none nothing', () => {
    const [is, should] = [(): Vec3 => [0.5, 0.5, 0.5], (): Vec3 => [0.5, 0.75, 0.5]]
    const lab = () => [50, 0, 0] as const
    expect(compareTransforms(is, should, [[0, 0, 0]], lab)).toMatchObject({
      points: 1,
      maxCode: 0.25,
      meanCode: 0.25,
    })
    expect(compareTransforms(is, should, [], lab)).toMatchObject({ points: 0, maxCode: 0, meanCode: 0 })
  })
  it('says nothing of neutrals where the match itself moves them', () => {
    const match = matchOf('bt709', 'bt709', { ...neutralModel, gain: [1.2, 1, 0.9], lift: [0.01, 0, 0] })
    const quality = measureLut(bakeMatch(match, { size: 9 }), matchTransform(match), {
      lab: outputLab(match.output),
      samples: 100,
    })
    expect(quality.neutralSpread).toBeUndefined()
  })
})

describe('narrow range on a lattice', () => {
  it('black 64 and white 940 of ITU-R BT.709-6, item 4.6, stay where they are in a match that keeps them', () => {
    const { lut, quality } = chooseLattice(matchOf(narrow, narrow, neutralModel))
    const f = lutTransform(lut)
    for (const code of [64, 940]) {
      // Between nodes: within what the lattice says of itself, and within a tenth of a 10-bit code.
      for (const y of f([code / 1023, code / 1023, code / 1023])) {
        expect(Math.abs(y - code / 1023)).toBeLessThanOrEqual(quality.tetrahedral.neutral.maxCode + 1e-9)
        expect(Math.abs(y * 1023 - code)).toBeLessThan(0.1)
      }
    }
  })
})

describe('chooseLattice', () => {
  it('takes the smallest size within the limit, and a closer limit takes a larger', () => {
    const match = matchOf('bt709', 'srgb', neutralModel)
    const loose = chooseLattice(match, { limit: 5, samples: 4000 })
    expect(loose.tried.at(-1)!.maxDE00).toBeLessThanOrEqual(5)
    expect(loose.tried.slice(0, -1).every(({ maxDE00 }) => maxDE00 > 5)).toBe(true)
    const sizes = [20, 5, 2, 1, 0.5].map((limit) => {
      const { tried } = chooseLattice(match, { limit, samples: 4000 })
      return tried.at(-1)!.size
    })
    expect(sizes).toEqual([...sizes].sort((a, b) => a - b))
    expect(new Set(sizes).size).toBeGreaterThan(1)
  })
  it('keeps to a size that is given, and says when it is over the limit', () => {
    const { lut, tried, warnings } = chooseLattice(matchOf('bt709', 'bt709'), {
      size: 5,
      limit: 0.01,
      samples: 1000,
    })
    expect(lut).toMatchObject({ kind: 'lattice', size: 5 })
    expect(tried.map(({ size }) => size)).toEqual([5])
    expect(warnings).toMatchObject([{ code: 'lattice-error' }])
  })
  it('linear light: offers a curve before the lattice, and takes it where the file can hold one', () => {
    const match = matchOf('linear', 'bt709', neutralModel)
    const sizes = [17]
    const plain = chooseLattice(match, { samples: 4000, sizes })
    expect(plain.lut.kind).toBe('lattice')
    expect(plain.warnings[0]!.message).toContain('which a .cube file cannot hold')
    const shaped = chooseLattice(match, { samples: 4000, sizes, shaper: true })
    expect(shaped.lut.kind).toBe('shaped')
    expect(shaped.quality.tetrahedral.neutral.maxDE00).toBeLessThan(
      plain.quality.tetrahedral.neutral.maxDE00 / 10,
    )
  })
  it.each([
    ['hlg', 'bt709', 5],
    ['bt709', 'srgb', 9],
  ] as const)(
    'takes a curve where the error is less than half with it, and not for less: %s to %s',
    (from, to, size) => {
      const match = matchOf(from, to, neutralModel)
      const options = { lab: outputLab(match.output, match.bits), samples: 500 }
      const [plain, shaped] = [bakeMatch(match, { size }), bakeShaped(match, { size })].map((lut) => {
        const { everywhere, neutral } = measureLut(lut, matchTransform(match), options).tetrahedral
        return Math.max(everywhere.maxDE00, neutral.maxDE00)
      })
      const { lut } = chooseLattice(match, { size, limit: 0.01, samples: 500, shaper: true })
      // Both stand near the edge: 1.9 and 2.05 times.
      expect(plain! / shaped!).toBeGreaterThan(1.7)
      expect(plain! / shaped!).toBeLessThan(2.3)
      expect(lut.kind === 'shaped').toBe(plain! > 2 * shaped!)
    },
  )
  it('reports the error that an independent look at the LUT finds', () => {
    const match = matchOf('bt709', 'srgb')
    const { lut, quality } = chooseLattice(match, { size: 17, samples: 3000, points: [[0.3, 0.2, 0.5]] })
    const f = lutTransform(lut, 'trilinear')
    const exact = matchTransform(match)
    let worst = 0
    for (const input of samplePoints(3000)) {
      const [x, y] = [f(input), exact(input)]
      if (y.some((v) => v < 0 || v > 1)) continue
      for (const c of [0, 1, 2] as const) {
        const cut = (v: number) => Math.max(0, Math.min(1, v))
        worst = Math.max(worst, Math.abs(cut(x[c]) - cut(y[c])))
      }
    }
    expect(quality.trilinear!.everywhere.maxCode).toBe(worst)
  })
})

describe('bakeShaped', () => {
  it('is the match at its nodes, and close to it between', () => {
    const match = matchOf('linear', 'bt709', neutralModel)
    const exact = matchTransform(match)
    const shaped = bakeShaped(match, { size: 33 })
    const f = lutTransform(shaped)
    const { output } = match
    fc.assert(
      fc.property(fc.nat(32), fc.nat(32), fc.nat(32), (i, j, k) => {
        const light = [i, j, k].map((n, c) =>
          resolveTransfer(output.spec.transfer).decode(n / 32, c as 0 | 1 | 2),
        ) as unknown as Vec3
        // The curve has an entry for every 16-bit code; between those it is off by a fraction of the toe's slope.
        const [x, y] = [f(light), exact(light)]
        for (const c of [0, 1, 2] as const) expect(Math.abs(x[c] - y[c])).toBeLessThan(1e-4)
      }),
    )
  })
  it('written as Common LUT Format, it is the same function', () => {
    const shaped = bakeShaped(matchOf('linear', narrow), { size: 9, curveSize: 257 })
    const f = lutTransform(shaped)
    const g = processListTransform(readClf(writeClf(clfFromLut(shaped, 'x'), { precision: 'exact' })).list)
    const { maxCode, points } = compareTransforms(f, g, samplePoints(500), () => [50, 0, 0])
    expect(points).toBe(500)
    expect(maxCode).toBeLessThan(1e-12)
  })
  it('no size to try is an error of the input', () => {
    expect(() => chooseLattice(matchOf('bt709', 'bt709', neutralModel), { sizes: [] })).toThrowError(
      expect.objectContaining({ name: 'IsochipError', code: 'lut-limits' }),
    )
  })
  it('a root polynomial has a lattice that knows its error too', () => {
    const match = matchOf('bt709', 'bt709', rootPolynomialModel)
    const { quality, lut } = chooseLattice(match, { samples: 2000 })
    expect(lut.kind === 'lattice' && lut.size).toBeGreaterThanOrEqual(17)
    expect(quality.tetrahedral.everywhere.maxDE00).toBeGreaterThan(0)
    expect(quality.tetrahedral.everywhere.meanDE00).toBeLessThan(0.5)
  })
})
