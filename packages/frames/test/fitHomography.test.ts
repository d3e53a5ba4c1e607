import { describe, expect, it } from 'vitest'
import { fitHomography } from '../src/geometry/fitHomography.ts'
import { homographyFromUnitSquare, type Point, project } from '../src/index.ts'

const truth = homographyFromUnitSquare([
  [100, 80],
  [900, 130],
  [840, 610],
  [150, 560],
])!
const grid = Array.from({ length: 24 }, (_, k): Point => [(k % 6) / 5, Math.floor(k / 6) / 3])

describe('fitHomography', () => {
  it('finds the map that points came from, to a thousandth of a grid step', () => {
    // The pull towards an affine map, 1e-3 in 24 pairs, leaves this much.
    const map = fitHomography(
      grid,
      grid.map(([x, y]) => project(truth, x, y)),
    )!
    for (const [x, y] of [...grid, [0.5, 0.5] as const]) {
      const [ax, ay] = project(truth, x, y)
      const [bx, by] = project(map, x, y)
      expect(Math.hypot(ax - bx, ay - by)).toBeLessThan(0.15)
    }
  })

  it('leaves out pairs of weight 0', () => {
    const points = grid.map(([x, y]) => project(truth, x, y))
    const spoilt = points.map((point, k): Point => (k === 7 ? [0, 0] : point))
    const weights = grid.map((_, k) => (k === 7 ? 0 : 1))
    const [x, y] = project(fitHomography(grid, spoilt, weights)!, ...grid[7]!)
    expect(Math.hypot(x - points[7]![0], y - points[7]![1])).toBeLessThan(0.2)
  })

  it('has no map for points on a line', () => {
    const line = grid.map(([x]): Point => [x, 2 * x])
    expect(fitHomography(line, line)).toBeUndefined()
  })
})
