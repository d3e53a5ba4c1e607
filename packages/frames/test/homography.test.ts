import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { homographyFromUnitSquare, type Point, project, type Quad } from '../src/index.ts'

/** Rounding of a few dozen operations on numbers up to 4000. */
const digits = 6

const bump = fc.double({ min: -0.2, max: 0.2, noNaN: true })
const quads = fc.tuple(bump, bump, bump, bump, bump, bump, bump, bump).map((b): Quad => {
  const at = (x: number, y: number): Point => [2000 * x, 1500 * y]
  return [at(b[0], b[1]), at(1 + b[2], b[3]), at(1 + b[4], 1 + b[5]), at(b[6], 1 + b[7])]
})

describe('homographyFromUnitSquare', () => {
  it('takes the corners of the unit square to the corners, in order', () => {
    fc.assert(
      fc.property(quads, (quad) => {
        const map = homographyFromUnitSquare(quad)!
        const corners = [project(map, 0, 0), project(map, 1, 0), project(map, 1, 1), project(map, 0, 1)]
        corners.forEach((corner, i) => {
          expect(corner[0]).toBeCloseTo(quad[i]![0], digits)
          expect(corner[1]).toBeCloseTo(quad[i]![1], digits)
        })
      }),
    )
  })

  it('keeps straight lines straight: the diagonals meet in the image of (½, ½)', () => {
    fc.assert(
      fc.property(quads, (quad) => {
        const [x, y] = project(homographyFromUnitSquare(quad)!, 0.5, 0.5)
        for (const [a, b] of [
          [quad[0], quad[2]],
          [quad[1], quad[3]],
        ] as const) {
          const area = (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])
          expect(area / Math.hypot(b[0] - a[0], b[1] - a[1])).toBeCloseTo(0, digits)
        }
      }),
    )
  })

  it('is affine for a parallelogram', () => {
    const map = homographyFromUnitSquare([
      [10, 20],
      [50, 30],
      [45, 90],
      [5, 80],
    ])!
    expect(project(map, 0.25, 0.5)).toEqual([10 + 0.25 * 40 - 0.5 * 5, 20 + 0.25 * 10 + 0.5 * 60])
  })

  it.each([
    [
      'three points on a line',
      [
        [0, 0],
        [5, 5],
        [10, 10],
        [0, 10],
      ],
    ],
    [
      'two points in one',
      [
        [0, 0],
        [5, 0],
        [5, 0],
        [0, 10],
      ],
    ],
    [
      'a dent',
      [
        [0, 0],
        [10, 0],
        [2, 2],
        [0, 10],
      ],
    ],
  ] as [string, Quad][])('has no map for %s', (_, quad) => {
    expect(homographyFromUnitSquare(quad)).toBeUndefined()
  })
})
