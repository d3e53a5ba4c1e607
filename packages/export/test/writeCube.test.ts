import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  type CurveLut,
  cubeChunks,
  cubeWarnings,
  type LatticeLut,
  type Lut,
  readCube,
  writeCube,
} from '../src/index.ts'
import { latticeLuts } from './support/luts.ts'

const curveOf = (table: Float64Array | Float32Array): CurveLut => ({
  kind: 'curve',
  size: table.length / 3,
  domainMin: [0, 0, 0],
  domainMax: [1, 1, 1],
  table,
})
const body = (lut: Lut, precision?: number | 'exact') =>
  writeCube(lut, precision === undefined ? {} : { precision })
    .split('\n')
    .slice(1, -1)
    .join(' ')
    .split(' ')

describe('writeCube', () => {
  it('writes comments, title, size, and the domain only where it is not 0…1', () => {
    const lut: CurveLut = {
      ...curveOf(Float64Array.of(0, 0, 0, 1, 1, 1)),
      title: 'Day',
      domainMax: [1, 1, 2.5],
    }
    expect(writeCube(lut, { comments: ['for one light\nonly', '', 'x'.repeat(90)] })).toBe(
      `# for one light\n# only\n#\n# ${'x'.repeat(80)}\n# ${'x'.repeat(10)}\n` +
        'TITLE "Day"\nLUT_1D_SIZE 2\nDOMAIN_MAX 1 1 2.5\n0 0 0\n1 1 1\n',
    )
  })
  it('takes as few decimals as keep the precision', () => {
    const lut = curveOf(Float64Array.of(0.123456789, 0.5, -0.00000004, 1, -12.75, 0.1999999999))
    expect(body(lut)).toEqual(['0.123457', '0.5', '0', '1', '-12.75', '0.2'])
    expect(body(lut, 0.01)).toEqual(['0.12', '0.5', '0', '1', '-12.75', '0.2'])
    expect(body(lut, 'exact')).toEqual(['0.123456789', '0.5', '-4E-8', '1', '-12.75', '0.1999999999'])
  })
  it('keeps the precision it was asked for', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -70000, max: 70000, noNaN: true }), { minLength: 6, maxLength: 6 }),
        fc.double({ min: 1e-9, max: 0.5, noNaN: true }),
        (six, precision) => {
          const { lut } = readCube(writeCube(curveOf(Float64Array.from(six)), { precision }))
          const table = (lut as CurveLut).table
          // Beside the precision there is the rounding of double precision itself.
          six.forEach((x, i) => {
            expect(Math.abs(table[i]! - x)).toBeLessThanOrEqual(precision * (1 + 1e-9) + 1e-15 * Math.abs(x))
          })
        },
      ),
    )
  })
  it('writes what toFixed of ECMA-262 writes, but for the zeros at the end', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 12 }),
        // Whole numbers of the last decimal, so that none stands halfway; fractions of up to twelve digits.
        fc.array(fc.integer({ min: -2e12, max: 2e12 }), { minLength: 6, maxLength: 6 }),
        (decimals, six) => {
          const values = six.map((n) => (decimals > 8 ? n : n % 20_000_000) / 10 ** decimals)
          const texts = values.map((x) =>
            decimals === 0 ? String(x) : x.toFixed(decimals).replace(/\.?0+$/, ''),
          )
          const written = body(curveOf(Float64Array.from(values)), Math.max(0.5 * 10 ** -decimals, 1e-12))
          expect(written).toEqual(texts.map((text) => (text === '-0' ? '0' : text)))
        },
      ),
    )
  })
  it('exact: write, read, the same LUT, in double and in single precision', () => {
    fc.assert(
      fc.property(latticeLuts(), fc.boolean(), (double, single) => {
        const lut: LatticeLut = single
          ? {
              ...double,
              tableRedFastest: Float32Array.from(double.tableRedFastest, (x) => Math.fround(x) + 0),
            }
          : double
        const back = readCube(writeCube(lut, { precision: 'exact' }), { table: single ? 'single' : 'double' })
        expect(back.warnings).toEqual([])
        expect(back.lut).toEqual(lut)
      }),
    )
  })
  it('written again, the file is the same', () => {
    fc.assert(
      fc.property(latticeLuts(), (lut) => {
        const first = writeCube(lut)
        expect(writeCube(readCube(first).lut)).toBe(first)
      }),
    )
  })
  it('comes in pieces', () => {
    const lut = curveOf(new Float64Array(3 * 65536).fill(0.123456))
    const sizes = [...cubeChunks(lut)].map((chunk) => chunk.length)
    expect(sizes.length).toBeGreaterThan(5)
    expect(Math.max(...sizes)).toBeLessThanOrEqual(2 ** 18)
  })
  it.each([Number.NaN, Number.POSITIVE_INFINITY])('never writes %s', (value) => {
    expect(() => writeCube(curveOf(Float64Array.of(0, 0, 0, 1, value, 1)))).toThrow(
      `value ${value} for green in entry 1 of the 1D LUT, expected a finite number`,
    )
  })
  it('refuses what the format cannot hold', () => {
    const curve = curveOf(Float64Array.of(0, 0, 0, 1, 1, 1))
    expect(() => writeCube({ ...curve, title: 'the "day" LUT' })).toThrow(
      'holds "\\"", which a .cube title cannot',
    )
    expect(() => writeCube({ ...curve, title: 'x'.repeat(260) })).toThrow('longer than a line of 250 bytes')
    expect(() => writeCube({ ...curve, domainMax: [1, 0, 1] })).toThrow('domain of green is 0…0')
    expect(() => writeCube({ ...curve, size: 3 })).toThrow('table has 6 numbers, expected 9')
    expect(() => writeCube(curve, { precision: 0 })).toThrow('precision is 0')
    const lattice = { ...curve, kind: 'lattice' as const, tableRedFastest: new Float64Array(24) }
    expect(() => writeCube({ kind: 'shaped', curve, lattice })).toThrow('no place in a .cube file')
  })
  it('warns of a domain that other programs may not read', () => {
    const curve = curveOf(Float64Array.of(0, 0, 0, 1, 1, 1))
    expect(cubeWarnings(curve)).toEqual([])
    expect(cubeWarnings({ ...curve, domainMin: [-1, 0, 0] })[0]).toMatchObject({ code: 'cube-domain' })
  })
})
