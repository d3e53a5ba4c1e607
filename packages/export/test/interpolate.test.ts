import type { Mat3, Vec3 } from '@isochip/core'
import { apply3 } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bakeLattice, type CurveLut, type Interpolation, lutTransform } from '../src/index.ts'
import { latticeLuts } from './support/luts.ts'

const both: Interpolation[] = ['tetrahedral', 'trilinear']
const unit = fc.double({ min: 0, max: 1, noNaN: true })
const colours = fc.tuple(unit, unit, unit)
const lerp = (min: Vec3, max: Vec3, f: Vec3): Vec3 => [
  min[0] * (1 - f[0]) + max[0] * f[0],
  min[1] * (1 - f[1]) + max[1] * f[1],
  min[2] * (1 - f[2]) + max[2] * f[2],
]
/** Double precision, a few roundings of values up to 4. */
const close = (a: Vec3, b: Vec3) =>
  a.forEach((x, c) => {
    expect(Math.abs(x - b[c]!)).toBeLessThan(1e-12)
  })

describe.each(both)('%s', (interpolation) => {
  it('gives the nodes back', () => {
    fc.assert(
      fc.property(latticeLuts(), fc.tuple(unit, unit, unit), (lut, f) => {
        const at = f.map((x) => Math.round(x * (lut.size - 1))) as unknown as Vec3
        const input = lerp(lut.domainMin, lut.domainMax, at.map((i) => i / (lut.size - 1)) as unknown as Vec3)
        const i = 3 * (at[0] + lut.size * (at[1] + lut.size * at[2]))
        const node = [...lut.tableRedFastest.subarray(i, i + 3)] as unknown as Vec3
        // A rounding of the position, times the difference between two nodes.
        lutTransform(
          lut,
          interpolation,
        )(input).forEach((x, c) => {
          expect(Math.abs(x - node[c]!)).toBeLessThan(1e-12)
        })
      }),
    )
  })
  it('is exact for an affine transform, on every domain', () => {
    const m: Mat3 = [
      [1.2, -0.3, 0.1],
      [0.05, 0.9, 0.05],
      [-0.2, 0.1, 1.1],
    ]
    const affine = (x: Vec3): Vec3 => {
      const y = apply3(m, x)
      return [y[0] + 0.01, y[1] - 0.02, y[2]]
    }
    fc.assert(
      fc.property(latticeLuts(7), colours, ({ size, domainMin, domainMax }, f) => {
        const lut = bakeLattice(affine, { size, domain: { min: domainMin, max: domainMax } })
        const input = lerp(domainMin, domainMax, f)
        close(lutTransform(lut, interpolation)(input), affine(input))
      }),
    )
  })
  it('stays between the least and the greatest node', () => {
    fc.assert(
      fc.property(latticeLuts(), colours, (lut, f) => {
        const out = lutTransform(lut, interpolation)(lerp(lut.domainMin, lut.domainMax, f))
        for (const c of [0, 1, 2]) {
          const values = lut.tableRedFastest.filter((_, i) => i % 3 === c)
          expect(out[c]).toBeGreaterThan(Math.min(...values) - 1e-12)
          expect(out[c]).toBeLessThan(Math.max(...values) + 1e-12)
        }
      }),
    )
  })
  it('clamps to the domain; NaN counts as its lower end', () => {
    fc.assert(
      fc.property(latticeLuts(), (lut) => {
        const f = lutTransform(lut, interpolation)
        const { domainMin: min, domainMax: max } = lut
        expect(f([min[0] - 5, Number.NEGATIVE_INFINITY, Number.NaN])).toEqual(f(min))
        expect(f([max[0] + 5, Number.POSITIVE_INFINITY, max[2]])).toEqual(f(max))
      }),
    )
  })
})

describe('where the two differ', () => {
  // One node of a cell raised: by hand, at (0.5, 0.25, 0.125), fractions in falling order r, g, b.
  const raised = (node: number) => {
    const lut = bakeLattice(() => [0, 0, 0], { size: 2 })
    lut.tableRedFastest[3 * node] = 1
    return lut
  }
  it.each([
    // node red + 2 green + 4 blue: trilinear weight is the product, tetrahedral the difference of fractions
    ['black', 0, 0.5 * 0.75 * 0.875, 1 - 0.5],
    ['red', 1, 0.5 * 0.75 * 0.875, 0.5 - 0.25],
    ['green', 2, 0.5 * 0.25 * 0.875, 0],
    ['yellow', 3, 0.5 * 0.25 * 0.875, 0.25 - 0.125],
    ['blue', 4, 0.5 * 0.75 * 0.125, 0],
    ['magenta', 5, 0.5 * 0.75 * 0.125, 0],
    ['cyan', 6, 0.5 * 0.25 * 0.125, 0],
    ['white', 7, 0.5 * 0.25 * 0.125, 0.125],
  ])('%s node', (_, node, product, difference) => {
    const lut = raised(node)
    expect(lutTransform(lut, 'trilinear')([0.5, 0.25, 0.125])[0]).toBeCloseTo(product, 14)
    expect(lutTransform(lut, 'tetrahedral')([0.5, 0.25, 0.125])[0]).toBeCloseTo(difference, 14)
  })
  it('tetrahedral keeps neutrals on the line between neutral nodes, whatever the others say', () => {
    fc.assert(
      fc.property(latticeLuts(), unit, (lut, f) => {
        const table = lut.tableRedFastest
        for (let i = 0; i < lut.size; i++) {
          const at = 3 * i * (1 + lut.size + lut.size ** 2)
          table[at + 1] = table[at]!
          table[at + 2] = table[at]!
        }
        const [r, g, b] = lutTransform({ ...lut, domainMin: [0, 0, 0], domainMax: [1, 1, 1] })([f, f, f])
        expect(g).toBe(r)
        expect(b).toBe(r)
      }),
    )
  })
})

describe('curve', () => {
  it('interpolates each channel on its own domain and clamps', () => {
    const lut: CurveLut = {
      kind: 'curve',
      size: 3,
      domainMin: [0, -1, 0],
      domainMax: [1, 1, 4],
      table: Float64Array.of(0, 10, 5, 1, 20, 7, 4, 40, 6),
    }
    const f = lutTransform(lut)
    expect(f([0.25, -0.5, 1])).toEqual([0.5, 15, 6])
    expect(f([0.75, 0.5, 3])).toEqual([2.5, 30, 6.5])
    expect(f([9, -9, Number.NaN])).toEqual([4, 10, 5])
  })
})
