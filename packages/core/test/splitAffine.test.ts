import { apply3, applyModel, joinAffine, type Mat3, splitAffine, type Vec3 } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { affineParts, thousandths } from './support/arbitraries.ts'

describe('splitAffine and joinAffine', () => {
  it('give back the parts of any match: the split is the only one', () => {
    fc.assert(
      fc.property(affineParts, (parts) => {
        const { B, t } = joinAffine(parts)
        const split = splitAffine(B, t)!
        for (const c of [0, 1, 2] as const) {
          expect(split.lift[c]).toBeCloseTo(parts.lift[c], 11)
          expect(split.gain[c]).toBeCloseTo(parts.gain[c], 11)
          for (const k of [0, 1, 2] as const) expect(split.matrix[c][k]).toBeCloseTo(parts.matrix[c][k], 11)
        }
      }),
      { numRuns: 300, endOnFailure: true },
    )
  })

  it('give back any B and t that keep a white, and the rows of the matrix sum to 1', () => {
    let kept = 0
    fc.assert(
      fc.property(
        thousandths(-500, 500),
        thousandths(-500, 500),
        thousandths(-500, 500),
        thousandths(-100, 100),
        (r, g, b, t) => {
          const B: Mat3 = [
            [1 + r[0], r[1], r[2]],
            [g[0], 1 + g[1], g[2]],
            [b[0], b[1], 1 + b[2]],
          ]
          const split = splitAffine(B, t)
          if (split === undefined) return
          kept++
          const size = Math.max(
            ...split.matrix.flat().map(Math.abs),
            ...split.gain,
            ...split.lift.map(Math.abs),
          )
          for (const row of split.matrix)
            expect(Math.abs(row[0] + row[1] + row[2] - 1)).toBeLessThan(1e-12 * size ** 2)
          const joined = joinAffine(split)
          for (const c of [0, 1, 2] as const) {
            expect(Math.abs(joined.t[c] - t[c])).toBeLessThan(1e-12 * size ** 3)
            for (const k of [0, 1, 2] as const) {
              expect(Math.abs(joined.B[c][k] - B[c][k])).toBeLessThan(1e-12 * size ** 2)
            }
          }
        },
      ),
      { numRuns: 500, endOnFailure: true },
    )
    expect(kept).toBeGreaterThan(300)
  })

  it('put light through as B·x + t does', () => {
    fc.assert(
      fc.property(affineParts, thousandths(0, 1000), (parts, light) => {
        const { B, t } = joinAffine(parts)
        const straight = apply3(B, light)
        for (const [c, value] of applyModel({ kind: 'lift-gain-matrix', ...parts }, light).entries()) {
          expect(value).toBeCloseTo(straight[c]! + t[c]!, 12)
        }
      }),
      { endOnFailure: true },
    )
  })

  it('gain alone carries exposure: twice the light in needs half the gain, the same matrix, twice the lift', () => {
    fc.assert(
      fc.property(affineParts, (parts) => {
        const { B, t } = joinAffine(parts)
        const half = (row: Vec3): Vec3 => [row[0] / 2, row[1] / 2, row[2] / 2]
        const split = splitAffine([half(B[0]), half(B[1]), half(B[2])], t)!
        for (const c of [0, 1, 2] as const) {
          expect(split.gain[c]).toBeCloseTo(parts.gain[c] / 2, 11)
          expect(split.lift[c]).toBeCloseTo(parts.lift[c] * 2, 11)
          for (const k of [0, 1, 2] as const) expect(split.matrix[c][k]).toBeCloseTo(parts.matrix[c][k], 11)
        }
      }),
      { endOnFailure: true },
    )
  })

  it('have no split where no light of the camera comes out white', () => {
    const singular: Mat3 = [
      [1, 0, 0],
      [0, 1, 0],
      [1, 1, 0],
    ]
    const dark: Mat3 = [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, -1],
    ]
    expect(splitAffine(singular, [0, 0, 0])).toBeUndefined()
    expect(splitAffine(dark, [0, 0, 0])).toBeUndefined()
  })
})
