import { builtinCharts, IsochipError } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { tileWall } from '../../../test/support/tileWall.ts'
import { Budget } from '../src/find/budget.ts'
import { lookIn } from '../src/find/lookIn.ts'

/**
 * Three seconds of processor time are the most that a frame may take. Work is counted in thousandths of a second of a desktop of
 * 2020, so that no clock is asked; `test/bench/framesBench.ts` says what such walls take by one.
 */
const most = 3000

/** Sides in pixels, and of the tiles. 2048 is looked at as it is, 4096 reduced; small tiles have the most of everything. */
const walls = [
  [1024, 12],
  [2048, 12],
  [2048, 16],
  [2048, 64],
  [4096, 24],
] as const

describe('a wall of tiles, which is full of what may be a chart', () => {
  it.each(walls)('%i pixels wide, tiles of %i, is left after a bounded amount of work', (side, pitch) => {
    const budget = new Budget()
    let looks = 0
    const found = lookIn(tileWall(side, pitch), builtinCharts, budget, () => looks++)
    if (!(found instanceof IsochipError)) throw new Error(`taken for ${found.chart.id}`)
    expect(looks).toBeGreaterThan(0)
    const spent = new Budget().whole - budget.whole
    // It was searched, not passed over.
    expect(spent).toBeGreaterThan(most / 4)
    expect(spent).toBeLessThan(most)
  })

  it('costs no more for what is left of a budget that is spent', () => {
    const budget = new Budget(0)
    let looks = 0
    lookIn(tileWall(1024, 16), builtinCharts, budget, () => looks++)
    expect(looks).toBe(0)
  })
})
