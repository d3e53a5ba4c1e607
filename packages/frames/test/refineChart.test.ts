import { builtinChart, builtinCharts, isGrid } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { type Point, refineChart } from '../src/index.ts'
import { cornerError, easyScene, renderFindScene } from './support/findScene.ts'

describe('refineChart', () => {
  it.each(builtinCharts.filter(isGrid).map((chart) => [chart.id, chart] as const))(
    'moves rough corners of %s to the edges',
    (_, chart) => {
      const picture = renderFindScene({
        ...easyScene(chart),
        width: 800,
        height: 450,
        size: 0.6,
        at: [0.5, 0.281],
        distortion: 0.03,
      })
      const pitch = 0.6 * 800 * chart.geometry.pitch[0]
      const rough = picture.corners.map(
        ([x, y], i): Point => [
          x + pitch * [0.15, -0.1, 0.12, -0.16][i]!,
          y + pitch * [-0.1, 0.14, 0.1, 0.05][i]!,
        ],
      )
      const refined = refineChart(picture.frame, chart, rough)
      expect(cornerError(rough, picture, chart)).toBeGreaterThan(0.15)
      expect(cornerError(refined.corners, picture, chart)).toBeLessThan(0.03)
      expect(refined.distortion).toBeCloseTo(0.03, 2)
      expect(refined.misfit).toBeLessThan(0.02)
      expect(refined.moved).toBeGreaterThan(0.1)
      expect(refined.seen).toBeGreaterThan(chart.patches.length / 2)
    },
  )

  it('moves nothing where there are no edges', () => {
    const picture = renderFindScene({ ...easyScene(builtinChart('chart24')), empty: true })
    const corners: Point[] = [
      [200, 100],
      [600, 110],
      [590, 400],
      [210, 390],
    ]
    const refined = refineChart(picture.frame, builtinChart('chart24'), corners)
    expect(refined.seen).toBe(0)
    refined.corners.forEach(([x, y], i) => {
      expect(x).toBeCloseTo(corners[i]![0], 6)
      expect(y).toBeCloseTo(corners[i]![1], 6)
    })
  })
})
