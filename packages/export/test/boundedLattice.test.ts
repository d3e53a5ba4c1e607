import { IsochipError, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import {
  bakeMatch,
  bakeShaped,
  boundedLattice,
  chooseLattice,
  type EncodedMatch,
  type LatticeLut,
  lutTransform,
  matchTransform,
  type NodeOptions,
  samplePoints,
  unitDomain,
} from '../src/index.ts'
import { matchOf, neutralModel, strongModel } from './support/matches.ts'

const bounded = (match: EncodedMatch, size: number, options: NodeOptions = {}): LatticeLut =>
  chooseLattice(match, { size, samples: 100, nodes: 'bounded', ...options }).lut as LatticeLut

const clip = (x: number) => Math.min(Math.max(x, 0), 1)

/** The plain lattice as a box stores it: nodes cut to 0…1, and rounded to whole steps. */
function stored(match: EncodedMatch, size: number, bits?: number): LatticeLut {
  const lut = bakeMatch(match, { size })
  const steps = bits === undefined ? 0 : 2 ** bits - 1
  const store = (x: number) => (steps === 0 ? clip(x) : Math.round(clip(x) * steps) / steps)
  return { ...lut, tableRedFastest: lut.tableRedFastest.map(store) }
}

/** Of the result of a match, cut to 0…1, in codes of 10 bits: over all inputs, and where the match stays within 0…1. */
function errors(lut: LatticeLut, match: EncodedMatch) {
  const [apply, exact] = [lutTransform(lut), matchTransform(match)]
  const all = { worst: 0, squares: 0, count: 0 }
  const held = { worst: 0, squares: 0, count: 0 }
  for (const code of samplePoints(5000)) {
    const [is, should] = [apply(code), exact(code)]
    const apart = Math.max(...is.map((x, c) => 1023 * Math.abs(x - clip(should[c]!))))
    for (const one of should.every((x) => x >= 0 && x <= 1) ? [all, held] : [all]) {
      one.worst = Math.max(one.worst, apart)
      one.squares += apart * apart
      one.count++
    }
  }
  const rms = ({ squares, count }: typeof all) => Math.sqrt(squares / count)
  return { all: { worst: all.worst, rms: rms(all) }, held: { worst: held.worst, rms: rms(held) } }
}

const matches = {
  'a log camera': matchOf('acescct', 'bt709', neutralModel),
  'HLG to BT.709': matchOf('hlg', 'bt709', neutralModel),
  'BT.709, lift and gains of its own': matchOf('bt709', 'bt709', strongModel),
}

/** Each costs the same, whatever its size: by turns over the matches, all of them where there is time. */
const kinds: readonly (readonly [size: number, bits: number | undefined])[] = [
  [17, undefined],
  [17, 12],
  [33, 10],
  [33, undefined],
  [65, 12],
]
const turnsOf = [
  [kinds[0]!, kinds[2]!],
  [kinds[1]!, kinds[2]!],
  [kinds[0]!, kinds[1]!],
]

describe.each(
  Object.entries(matches).map(([name, match], i) => [name, match, wholeTask ? kinds : turnsOf[i]!] as const),
)('bounded nodes of %s', (_, match, some) => {
  it.each(some)(
    '%i per axis, bits %s: within 0…1, and nearer to the match than nodes that a box cuts off',
    (size, bits) => {
      const lut = bounded(match, size, bits === undefined ? {} : { nodeBits: bits })
      for (const x of lut.tableRedFastest) if (!(x >= 0 && x <= 1)) expect(x).toBeNaN()
      if (bits !== undefined) {
        const steps = 2 ** bits - 1
        expect(lut.tableRedFastest.every((x) => Math.abs(x * steps - Math.round(x * steps)) < 1e-9)).toBe(
          true,
        )
      }
      const [is, was] = [errors(lut, match), errors(stored(match, size, bits), match)]
      expect(is.all.rms).toBeLessThan(was.all.rms)
      expect(is.held.rms).toBeLessThan(was.held.rms)
      expect(is.all.worst).toBeLessThan(was.all.worst)
      expect(is.held.worst).toBeLessThan(was.held.worst)
    },
  )
})

describe('boundedLattice', () => {
  it('changes nothing of what a lattice holds as it is: an affine transform within 0…1', () => {
    const affine = ([r, g, b]: Vec3): Vec3 => [
      0.1 + 0.5 * r + 0.2 * g,
      0.9 - 0.7 * b,
      0.3 * r + 0.3 * g + 0.3 * b,
    ]
    const { tableRedFastest } = boundedLattice(affine, { size: 5 })
    for (let node = 0; node < 125; node++) {
      const at = [node % 5, Math.floor(node / 5) % 5, Math.floor(node / 25)].map((i) => i / 4) as [
        number,
        number,
        number,
      ]
      for (const [c, should] of affine(at).entries()) {
        // What the iteration leaves: a hundredth of a 16-bit step, over a few nodes.
        expect(Math.abs(tableRedFastest[3 * node + c]! - should)).toBeLessThan(2e-6)
      }
    }
  })
  it.each([undefined, 10, 12])(
    'what the match leaves neutral stays neutral, and its ends exact, bits %s',
    (bits) => {
      const match = matchOf('acescct', 'bt709', neutralModel)
      const lut = bounded(match, wholeTask ? 33 : 17, bits === undefined ? {} : { nodeBits: bits })
      const apply = lutTransform(lut)
      for (let i = 0; i <= 1000; i++) {
        const [r, g, b] = apply([i / 1000, i / 1000, i / 1000])
        expect(Math.max(r, g, b) - Math.min(r, g, b)).toBeLessThan(1e-12)
      }
      const step = bits === undefined ? 0 : 0.5 / (2 ** bits - 1)
      for (const end of [0, 1] as const) {
        const exact = clip(matchTransform(match)([end, end, end])[0])
        expect(Math.abs(apply([end, end, end])[0] - exact)).toBeLessThanOrEqual(step + 1e-12)
      }
    },
  )
  it('keeps to a domain', () => {
    const domain = { min: [-0.5, 0, 0.25], max: [1.5, 2, 0.75] } as const
    const lut = boundedLattice((rgb) => rgb, { size: 9, domain })
    expect([lut.domainMin, lut.domainMax]).toEqual([domain.min, domain.max])
    // Far from both bounds the transform is as it was.
    expect(lutTransform(lut)([0.5, 0.5, 0.5]).map((x) => Math.abs(x - 0.5) < 0.01)).toEqual([
      true,
      true,
      true,
    ])
    expect(Math.max(...lut.tableRedFastest)).toBeLessThanOrEqual(1)
    expect(unitDomain).toEqual({ min: [0, 0, 0], max: [1, 1, 1] })
  })
  it('with a curve before it, curve and domain are within 0…1 too', () => {
    const match = matchOf('linear', 'bt709', { ...neutralModel, gain: [2, 2, 2] })
    const plain = bakeShaped(match, { size: 33, curveSize: 4096 })
    const { curve, lattice } = bakeShaped(match, { size: 33, curveSize: 4096, nodes: 'bounded' })
    expect([lattice.domainMin, lattice.domainMax]).toEqual([
      [0, 0, 0],
      [1, 1, 1],
    ])
    for (const table of [curve.table, lattice.tableRedFastest]) {
      const sorted = Float64Array.from(table).sort()
      expect(sorted[0]).toBeGreaterThanOrEqual(0)
      expect(sorted.at(-1)).toBeLessThanOrEqual(1)
    }
    const cut = {
      ...plain,
      lattice: { ...plain.lattice, tableRedFastest: plain.lattice.tableRedFastest.map(clip) },
    }
    const [is, was] = [{ kind: 'shaped', curve, lattice } as const, cut].map((lut) => {
      const [apply, exact] = [lutTransform(lut), matchTransform(match)]
      return [...samplePoints(5000)].reduce((sum, code) => {
        const [x, y] = [apply(code), exact(code)]
        return sum + x.reduce((s, value, c) => s + (value - clip(y[c]!)) ** 2, 0)
      }, 0)
    })
    expect(is).toBeLessThan(was!)
  })
  it.each([
    [{ size: 130 }, 'lattice size is 130, expected at most 129 with bounded nodes'],
    [{ size: 1 }, 'lattice size is 1, expected a whole number from 2 to 256'],
    [{ size: 5, bits: 7 }, 'bits of the nodes are 7, expected a whole number from 8 to 16'],
    [{ size: 5, bits: 10.5 }, 'bits of the nodes are 10.5'],
  ])('refuses %j', (options, message) => {
    expect(() => boundedLattice((rgb) => rgb, options)).toThrow(IsochipError)
    expect(() => boundedLattice((rgb) => rgb, options)).toThrow(message)
  })
  it('refuses what is not finite, with the input', () => {
    const pole = ([r, g, b]: Vec3): Vec3 => [1 / (r - 0.5), g, b]
    expect(() => boundedLattice(pole, { size: 3 })).toThrow('for the input (0.5, 0.5, 0.5)')
  })
})

describe('what a box that stores integers makes of a plain lattice', () => {
  it('is measured: nodes at −1 and 1 along red, in the middle 0 where a box gives ½', () => {
    const { quality } = chooseLattice(
      matchOf('linear', 'linear', { ...neutralModel, lift: [-0.5, -0.5, -0.5] }),
      {
        size: 2,
        samples: 20_000,
      },
    )
    // From −0.5 to 0.5: a box goes from 0 to 0.5, so half a step is added at black and nothing at white; where the lattice
    // is cut to 0 itself, at x = 0.5, the difference is largest: 0.25 along the neutral axis.
    expect(quality.integers.worst).toBeGreaterThan(0.25 * 1023 - 1)
    expect(quality.integers.share).toBeGreaterThan(0.9)
    const bounds = chooseLattice(matchOf('linear', 'linear', neutralModel), {
      size: 2,
      samples: 1000,
      nodes: 'bounded',
    })
    expect(bounds.quality.integers).toEqual({ worst: 0, share: 0 })
  })
})
