import { describe, expect, it } from 'vitest'
import { evennessMap } from '../../src/plots/camera/evennessMap.ts'
import { gridCells } from '../support/gridCells.ts'
import { elements } from '../support/svg.ts'

const picture = evennessMap([-0.2, 0.05, 0.2, 0], gridCells(2, 2), 'test')

describe('evennessMap', () => {
  it('has open circles for darker, filled ones for brighter, in the chart’s places, area by stops', () => {
    const [darkest, little, brightest, none] = elements(picture, 'circle')
    expect([darkest!.class, little!.class, brightest!.class]).toEqual(['darker', undefined, undefined])
    expect(darkest!.r).toBe(brightest!.r)
    // A quarter of the stops is a quarter of the area: half the radius.
    expect(Number(little!.r) * 2).toBeCloseTo(Number(brightest!.r), 1)
    expect(none!.r).toBe('0')
    const at = elements(picture, 'g').map(({ transform }) => transform!.match(/[\d.]+/g)!.map(Number))
    expect(at[2]![0]).toBe(at[0]![0])
    expect(at[3]![1]).toBe(at[2]![1])
    expect(at[2]![1]).toBeGreaterThan(at[0]![1]!)
    expect(picture.text).toContain('>−0.20</text>')
    expect(picture.text).toContain('>+0.20</text>')
  })
})
