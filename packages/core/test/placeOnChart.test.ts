import { expect, it } from 'vitest'
import { buoy47 } from '../src/chart/buoy47.ts'
import { chart24 } from '../src/chart/chart24.ts'
import { placeOnChart } from '../src/chart/placeOnChart.ts'
import { regionCentre, regionOf } from '../src/chart/region.ts'

it('a grid reaches from −1 to 1, row by row', () => {
  expect([0, 5, 18, 23].map((i) => placeOnChart(chart24, i))).toEqual([
    [-1, -1],
    [1, -1],
    [-1, 1],
    [1, 1],
  ])
  expect(placeOnChart(chart24, 8)).toEqual([-0.2, -1 / 3].map((v) => expect.closeTo(v, 12)))
})

it('a region stands where its centre is on the board', () => {
  const { size } = buoy47.regions
  for (const [i, patch] of buoy47.patches.entries()) {
    const [u, v] = placeOnChart(buoy47, i)
    const [x, y] = regionCentre(regionOf(buoy47, i))
    expect(((u + 1) / 2) * size[0], patch.name).toBeCloseTo(x, 9)
    expect(((v + 1) / 2) * size[1], patch.name).toBeCloseTo(y, 9)
  }
})
