import { type ChartPoint, regionArea, regionCentre } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { insetRegion } from '../src/sample/area/insetRegion.ts'

const square: readonly ChartPoint[] = [
  [0, 0],
  [10, 0],
  [10, 10],
  [0, 10],
]

describe('insetRegion', () => {
  it('leaves a square the share of its width, as a cell of a grid', () => {
    const { outline, quad, centre } = insetRegion({ polygon: square }, 0.55)
    expect(regionArea({ polygon: outline })).toBeCloseTo(5.5 ** 2, 5)
    expect(quad.map(([x, y]) => [x, y].map((v) => +v.toFixed(5)))).toEqual([
      [2.25, 2.25],
      [7.75, 2.25],
      [7.75, 7.75],
      [2.25, 7.75],
    ])
    expect(centre[0]).toBeCloseTo(5, 9)
    const back = insetRegion({ polygon: [...square].reverse() }, 0.55)
    expect(regionArea({ polygon: back.outline })).toBeCloseTo(5.5 ** 2, 5)
  })

  it('leaves a circle its share', () => {
    const { outline } = insetRegion({ circle: { centre: [3, 4], radius: 2 } }, 0.5)
    for (const [x, y] of outline) expect(Math.hypot(x - 3, y - 4)).toBeCloseTo(1, 9)
  })

  it('keeps the same margin to every side of a triangle', () => {
    // Sides 3, 4, 5: the circle in it has radius 1; half of it away leaves the triangle at half size.
    const triangle: ChartPoint[] = [
      [0, 0],
      [4, 0],
      [0, 3],
    ]
    const { outline } = insetRegion({ polygon: triangle }, 0.5)
    expect(regionArea({ polygon: outline })).toBeCloseTo(6 / 4, 5)
    for (const [x, y] of outline) {
      expect(Math.min(x, y, (12 - 3 * x - 4 * y) / 5)).toBeCloseTo(0.5, 5)
    }
  })

  it('stays within a polygon that is not convex', () => {
    const angle: ChartPoint[] = [
      [0, 0],
      [12, 0],
      [12, 4],
      [4, 4],
      [4, 12],
      [0, 12],
    ]
    const { outline } = insetRegion({ polygon: angle }, 0.9)
    for (const [x, y] of outline) {
      expect(x > 0 && y > 0 && x < 12 && y < 12).toBe(true)
      expect(x < 4 || y < 4).toBe(true)
    }
    // A circle of radius 2 fits into an arm; in the corner a larger one does.
    expect(Math.sqrt(regionArea({ polygon: outline }) / Math.PI)).toBeGreaterThan(0.9 * 2)
  })

  it('gives a quad that lies within the outline', () => {
    const hexagon = Array.from(
      { length: 6 },
      (_, k): ChartPoint => [7 * Math.cos((k * Math.PI) / 3), 7 * Math.sin((k * Math.PI) / 3)],
    )
    const { outline, quad } = insetRegion({ polygon: hexagon }, 0.6)
    const [x, y] = regionCentre({ polygon: hexagon })
    for (const corner of quad)
      for (const [k, a] of outline.entries()) {
        const b = outline[(k + 1) % 6]!
        const side = (p: ChartPoint) => (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
        expect(side(corner) / side([x, y])).toBeGreaterThan(-1e-9)
      }
  })
})
