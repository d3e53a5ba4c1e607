import { describe, expect, it } from 'vitest'
import { pairMatrix } from '../../src/plots/show/pairMatrix.ts'

const pairs = [
  { a: 'wide', b: 'cross', before: 6, after: 0.5 },
  { a: 'wide', b: 'crane', before: 5, after: 1 },
  { a: 'cross', b: 'crane', before: 8, after: 1.25 },
]
const picture = pairMatrix(['wide', 'cross', 'crane'], pairs, 'test')

/** The figure at a column and row, and how full its cell is. */
function cells(): { text: string; x: number; y: number; tint: number }[] {
  return [
    ...picture.text.matchAll(
      /fill-opacity="([\d.]+)"[^>]*\/><text class="mid" x="([\d.]+)" y="([\d.]+)">([\d.]+)</g,
    ),
  ].map(([, tint, x, y, text]) => ({ text: text!, x: Number(x), y: Number(y), tint: Number(tint) }))
}

describe('pairMatrix', () => {
  it('has as shot below the diagonal and matched above it, mirrored', () => {
    const of = (text: string) => cells().find((cell) => cell.text === text)!
    // cross × crane: row 2, column 3 matched; row 3, column 2 as shot.
    const matched = of('1.25')
    const shot = of('8.00')
    expect(matched.x).toBeGreaterThan(shot.x)
    expect(matched.y).toBeLessThan(shot.y)
    expect(of('0.50').y).toBe(of('1.00').y)
    expect(of('6.00').x).toBe(of('5.00').x)
  })

  it('fills the further apart the more, the furthest never so much that its figure drowns', () => {
    const sorted = cells().sort((a, b) => Number(a.text) - Number(b.text))
    expect(sorted).toHaveLength(6)
    for (const [i, cell] of sorted.slice(1).entries())
      expect(cell.tint).toBeGreaterThanOrEqual(sorted[i]!.tint)
    expect(sorted.at(-1).tint).toBe(0.42)
  })
})
