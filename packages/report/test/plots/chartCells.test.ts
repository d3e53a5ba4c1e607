import { builtinChart } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { chartCells } from '../../src/plots/camera/chartCells.ts'
import { gridCells } from '../support/gridCells.ts'

describe('chartCells', () => {
  it('has the rows and columns of a grid', () => {
    expect(chartCells(builtinChart('chart24'))).toEqual(gridCells(4, 6))
  })

  it('lays regions out as they stand on the chart, none over another', () => {
    const chart = builtinChart('buoy47')
    const { columns, rows, at } = chartCells(chart)
    const place = (name: string) => at[chart.patches.findIndex((patch) => patch.name === name)]!
    const nearest = at.flatMap(([ax, ay], i) =>
      at.slice(i + 1).map(([bx, by]) => Math.max(Math.abs(ax - bx), Math.abs(ay - by))),
    )
    expect(Math.min(...nearest)).toBeCloseTo(1, 9)
    for (const [x, y] of at) {
      expect(x).toBeGreaterThanOrEqual(0)
      expect(y).toBeGreaterThanOrEqual(0)
      expect(x + 1).toBeLessThan(columns + 1e-9)
      expect(y + 1).toBeLessThan(rows + 1e-9)
    }
    // docs/charts.md: the ring's hues lie about the true black, and two columns of greys beside it.
    const black = at[chart.patches.findIndex(({ role }) => role === 'true-black')]!
    const hues = [place('red'), place('cyan')]
    expect((hues[0]![0] + hues[1]![0]) / 2).toBeCloseTo(black[0], 6)
    expect((hues[0]![1] + hues[1]![1]) / 2).toBeCloseTo(black[1], 6)
    const greys = chart.patches.flatMap(({ role }, i) => (role === 'step' ? [at[i]![0].toFixed(6)] : []))
    expect(new Set(greys).size).toBe(2)
  })
})
