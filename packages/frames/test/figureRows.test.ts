import { describe, expect, it } from 'vitest'
import { figureRows } from '../src/sample/figureRows.ts'

describe('figureRows', () => {
  it('takes the pixels whose centres lie within', () => {
    const runs = figureRows(
      [
        [1.2, 1],
        [3.6, 1],
        [3.6, 2.6],
        [1.2, 2.6],
      ],
      8,
      8,
    )
    // Centres 1.5, 2.5, 3.5 across; 1.5, 2.5 down.
    expect([...runs]).toEqual([1, 1, 4, 2, 1, 4])
  })

  it('splits a frame between two neighbouring quads without loss or doubling', () => {
    const left = figureRows(
      [
        [0, 0],
        [4, 0],
        [6, 10],
        [0, 10],
      ],
      10,
      10,
    )
    const right = figureRows(
      [
        [4, 0],
        [10, 0],
        [10, 10],
        [6, 10],
      ],
      10,
      10,
    )
    for (let y = 0; y < 10; y++) {
      expect(left[3 * y + 2]).toBe(right[3 * y + 1])
      expect(left[3 * y + 1]).toBe(0)
      expect(right[3 * y + 2]).toBe(10)
    }
  })

  it('gives the same pixels whichever way round the quad runs', () => {
    const quad = [
      [2, 1],
      [9, 3],
      [7, 9],
      [1, 6],
    ] as const
    const back = [quad[3], quad[2], quad[1], quad[0]] as const
    expect(figureRows(quad, 12, 12)).toEqual(figureRows(back, 12, 12))
  })

  it('leaves out what lies beyond the frame', () => {
    expect([
      ...figureRows(
        [
          [-5, -5],
          [2, -5],
          [2, 1],
          [-5, 1],
        ],
        8,
        8,
      ),
    ]).toEqual([0, 0, 2])
  })
})
