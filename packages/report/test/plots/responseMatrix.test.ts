import { describe, expect, it } from 'vitest'
import { responseMatrix } from '../../src/plots/responses/responseMatrix.ts'
import { elements } from '../support/svg.ts'

describe('responseMatrix', () => {
  const picture = responseMatrix(
    ['wide', 'cross', 'observer'],
    [
      { from: 'wide', to: 'cross', mean: 0.5 },
      { from: 'cross', to: 'wide', mean: 2 },
      { from: 'wide', to: 'observer', mean: 1 },
    ],
    'test',
  )
  const cells = [
    ...picture.text.matchAll(
      /fill-opacity="([\d.]+)"[^>]*\/><text class="mid" x="([\d.]+)" y="([\d.]+)">([\d.]+)</g,
    ),
  ].map(([, tint, x, y, text]) => ({ text, tint: Number(tint), x: Number(x), y: Number(y) }))
  const of = (text: string) => cells.find((cell) => cell.text === text)!

  it('has from as rows and to as columns', () => {
    const heads = [...picture.text.matchAll(/<text class="mid" x="([\d.]+)"[^>]*>(wide|cross|observer)</g)]
    const column = new Map(heads.map(([, x, name]) => [name, Number(x)]))
    expect([of('0.50').x, of('2.00').x, of('1.00').x]).toEqual([
      column.get('cross'),
      column.get('wide'),
      column.get('observer'),
    ])
    expect(of('0.50').y).toBe(of('1.00').y)
    expect(of('2.00').y).toBeGreaterThan(of('0.50').y)
  })

  it('tints by what is left, and leaves empty what was not compared', () => {
    expect([of('0.50').tint, of('1.00').tint, of('2.00').tint]).toEqual([0.1, 0.21, 0.42])
    expect(elements(picture, 'rect').filter((e) => e.class === 'shade')).toHaveLength(3)
  })
})
