import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { tetrahedralCodes } from '../src/apply/tetrahedralCodes.ts'
import { tetrahedralSimd } from '../src/apply/tetrahedralSimd.ts'
import {
  applyLut,
  type CurveLut,
  type Interpolation,
  type LatticeLut,
  lutTransform,
  type PixelArray,
  prepareLut,
} from '../src/index.ts'
import { latticeLuts } from './support/luts.ts'

const curve: CurveLut = {
  kind: 'curve',
  size: 3,
  domainMin: [0, 0, 0],
  domainMax: [1, 1, 0.5],
  table: Float64Array.of(0, 1, 0, 0.25, 0.5, 0.5, 1, 0, 1.5),
}

/** Pixels of every kind of edge: ends, nodes, ties of the fractions, and anything between. */
const samples = fc.array(fc.oneof(fc.constantFrom(0, 65535, 32768, 21845, 43690), fc.nat(65535)), {
  minLength: 27,
  maxLength: 27,
})

describe('applyLut', () => {
  it('WebAssembly SIMD is here, so that what follows tests it', () => {
    fc.assert(fc.property(latticeLuts(), (lut) => tetrahedralSimd(lut, 3, 65535) !== undefined))
  })
  it.each<[string, 'auto' | 'javascript', Interpolation, 3 | 4, number]>([
    ['SIMD, RGB', 'auto', 'tetrahedral', 3, 65535],
    ['SIMD, RGB and alpha', 'auto', 'tetrahedral', 4, 65535],
    ['SIMD, 10 bits', 'auto', 'tetrahedral', 3, 1023],
    ['JavaScript, RGB', 'javascript', 'tetrahedral', 3, 65535],
    ['JavaScript, RGB and alpha', 'javascript', 'tetrahedral', 4, 65535],
    ['trilinear', 'auto', 'trilinear', 3, 65535],
    ['trilinear, alpha, 10 bits', 'auto', 'trilinear', 4, 1023],
  ])('16 bits: as the LUT in double precision, rounded: %s', (_, engine, interpolation, channels, top) => {
    fc.assert(
      fc.property(latticeLuts(6), samples, (lut, codes) => {
        const f = lutTransform(lut, interpolation)
        const width = Math.floor(codes.length / channels)
        const data = Uint16Array.from(codes, (x) => Math.min(x, top))
        const before = data.slice()
        applyLut(lut, { data, width, height: 1, channels }, { engine, interpolation, top })
        for (let p = 0; p < width; p++) {
          const at = p * channels
          const exact = f([before[at]! / top, before[at + 1]! / top, before[at + 2]! / top])
          exact.forEach((y, c) => {
            // Half a code of rounding, and the single precision of values up to 4 · 65535.
            const wanted = Math.min(Math.max(y * top, 0), top)
            expect(Math.abs(data[at + c]! - wanted)).toBeLessThan(0.5 + top * 1.5e-6)
          })
          if (channels === 4) expect(data[at + 3]).toBe(before[at + 3])
        }
        expect(data.subarray(width * channels)).toEqual(before.subarray(width * channels))
      }),
    )
  })
  it('a curve and a lattice in floats: one after the other', () => {
    fc.assert(
      fc.property(latticeLuts(4), (lattice) => {
        const lut = { kind: 'shaped', curve, lattice } as const
        const f = lutTransform(lut)
        const data = Float32Array.of(0.1, 0.7, 0.3, 0.9, 0.2, 0.45)
        const before = [...data]
        applyLut(lut, { data, width: 2, height: 1, channels: 3 })
        for (const at of [0, 3])
          f([before[at]!, before[at + 1]!, before[at + 2]!]).forEach((y, c) => {
            expect(Math.abs(data[at + c]! - y)).toBeLessThan(1e-6 * Math.max(1, Math.abs(y)))
          })
      }),
      { numRuns: 30 },
    )
  })
  it.each([3, 5, 9, 17, 33, 65])(
    'the kernel of usual sizes, %i nodes per axis: values small and very large, every cell',
    (size) => {
      let state = size
      const random = () => {
        state = (Math.imul(state, 1664525) + 1013904223) >>> 0
        return state / 2 ** 32
      }
      for (const reach of [1, 40, 70]) {
        // Mostly inside 0…1, now and then far out on one side.
        const table = Float64Array.from({ length: 3 * size ** 3 }, () =>
          random() < 0.9 ? random() : reach * (2 * random() - 1),
        )
        const lut = {
          kind: 'lattice' as const,
          size,
          domainMin: [0, 0, 0] as const,
          domainMax: [1, 1, 1] as const,
          tableRedFastest: table,
        }
        const f = lutTransform(lut)
        for (const channels of [3, 4] as const) {
          const width = 4001
          const edges = [0, 1, 65535, 65534, Math.round(65535 / (size - 1)), Math.floor(65536 / (size - 1))]
          const before = Uint16Array.from({ length: channels * width }, () =>
            random() < 0.2 ? edges[Math.floor(random() * edges.length)]! : random() * 65536,
          )
          const data = before.slice()
          applyLut(lut, { data, width, height: 1, channels })
          let most = 0
          for (let p = 0; p < width; p++) {
            const at = p * channels
            const exact = f([before[at]! / 65535, before[at + 1]! / 65535, before[at + 2]! / 65535])
            for (const c of [0, 1, 2] as const) {
              const wanted = Math.min(Math.max(exact[c] * 65535, 0), 65535)
              most = Math.max(most, Math.abs(data[at + c]! - wanted))
            }
            if (channels === 4) expect(data[at + 3]).toBe(before[at + 3])
          }
          // Half a code of rounding, and single precision of sums of four values up to `reach`.
          expect(most).toBeLessThan(0.5 + 4 * reach * 65535 * 2 ** -24)
        }
      }
    },
  )
  it('8 bits, and float without clipping', () => {
    const bytes = Uint8Array.of(0, 255, 64, 128, 0, 255)
    applyLut(curve, { data: bytes, width: 2, height: 1 })
    // Blue: 64/255 of a domain of 0.5 is 1.00392 steps → 0.50392; ×255, and 255 clips.
    expect([...bytes]).toEqual([0, 0, 129, 65, 255, 255])
    const floats = Float32Array.of(0.25, 0.5, 9, 0.125, Number.NaN, -3, 0.5, 7)
    applyLut(curve, { data: floats, width: 2, height: 1, channels: 4 })
    expect([...floats]).toEqual([0.125, 0.5, 1.5, 0.125, 0, 1, 1.5, 7])
  })
  it('does only the rows asked for, steps over padding, and leaves the source when there is a target', () => {
    const lut = { ...curve, table: Float64Array.of(1, 1, 1, 1, 1, 1, 1, 1, 1) }
    const fill = <T extends PixelArray>(data: T): T => data.fill(7) as T
    const data = fill(new Uint16Array(3 * 8))
    const into = fill(new Uint16Array(3 * 8))
    prepareLut(lut).apply({ data, width: 2, height: 3, stride: 8 }, { firstRow: 1, endRow: 2, into })
    expect([...data]).toEqual(new Array(24).fill(7))
    const row = (first: number) => [...into.subarray(8 * first, 8 * first + 8)]
    expect([row(0), row(1), row(2)]).toEqual([
      new Array(8).fill(7),
      [65535, 65535, 65535, 65535, 65535, 65535, 7, 7],
      new Array(8).fill(7),
    ])
  })
  it('rows done one by one give what the whole gives', () => {
    fc.assert(
      fc.property(latticeLuts(), samples, (lut, codes) => {
        const whole = Uint16Array.from(codes)
        const parts = whole.slice()
        applyLut(lut, { data: whole, width: 3, height: 3 })
        const prepared = prepareLut(lut)
        for (const row of [2, 0, 1]) {
          prepared.apply({ data: parts, width: 3, height: 3 }, { firstRow: row, endRow: row + 1 })
        }
        expect(parts).toEqual(whole)
      }),
    )
  })
  it('more pixels than one piece of the kernel', () => {
    fc.assert(
      fc.property(latticeLuts(3), fc.integer({ min: 4094, max: 8200 }), (lut, width) => {
        const data = Uint16Array.from({ length: 3 * width }, (_, i) => (i * 48271) % 65536)
        const other = data.slice()
        applyLut(lut, { data, width, height: 1 })
        applyLut(lut, { data: other, width, height: 1 }, { engine: 'javascript' })
        const apart = data.reduce((worst, x, i) => Math.max(worst, Math.abs(x - other[i]!)), 0)
        expect(apart).toBeLessThanOrEqual(1)
      }),
      { numRuns: 10 },
    )
  })
  it('refuses a picture that is not there', () => {
    const data = new Uint16Array(12)
    const run = (rows: object, part = {}) =>
      prepareLut(curve).apply({ data, width: 2, height: 2, ...rows }, part)
    expect(() => run({ height: 3 })).toThrow('the picture has 12 samples, expected 18')
    expect(() => run({ stride: 5 })).toThrow('a row is 5 samples long, expected at least 6')
    expect(() => run({ width: 0 })).toThrow('the picture is 0 × 2')
    expect(() => run({}, { firstRow: 1, endRow: 3 })).toThrow('rows 1 to 3 of 2 asked for')
    expect(() => run({}, { into: new Uint16Array(11) })).toThrow('the picture has 11 samples')
    expect(() => applyLut(curve, { data, width: 2, height: 2 }, { top: 0.5 })).toThrow('top is 0.5')
  })
})

describe('the kernel without SIMD', () => {
  it('carries alpha over to another picture', () => {
    const nodes = Float64Array.from(
      { length: 24 },
      (_, i) => [(i / 3) & 1, (i / 6) & 1, (i / 12) & 1][i % 3]!,
    )
    const unit: LatticeLut = {
      kind: 'lattice',
      size: 2,
      domainMin: [0, 0, 0],
      domainMax: [1, 1, 1],
      tableRedFastest: nodes.map((value) => Math.floor(value)),
    }
    const source = Uint8Array.of(10, 20, 30, 77, 250, 128, 0, 200)
    const target = new Uint8Array(8)
    tetrahedralCodes(unit, 4, 255).run(source, 0, target, 0, 2)
    expect(target).toEqual(source)
  })
})
