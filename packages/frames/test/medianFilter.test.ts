import { describe, expect, it } from 'vitest'
import { medianFilter } from '../src/find/prepare/medianFilter.ts'
import type { WorkingImage } from '../src/find/prepare/workingImage.ts'
import { randomNumbers } from './support/scene.ts'

const image = (width: number, height: number, value: (x: number, y: number, c: number) => number) => {
  const data = new Float32Array(3 * width * height)
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) for (let c = 0; c < 3; c++) data[3 * (y * width + x) + c] = value(x, y, c)
  return { width, height, data, scale: 1, clip: [2, 2, 2] as const, tones: [] }
}

/** All of it. */
const filtered = (before: WorkingImage) => {
  const after = medianFilter(before)
  after.need!(0, 0, before.width, before.height)
  return after
}

describe('medianFilter', () => {
  it('is the median of the 3 × 3 of every channel; the outermost pixels stay', () => {
    const next = randomNumbers(3)
    const before = image(9, 7, () => next())
    const { data } = filtered(before)
    for (let y = 0; y < 7; y++) {
      for (let x = 0; x < 9; x++) {
        for (let c = 0; c < 3; c++) {
          const at = (dx: number, dy: number) => before.data[3 * ((y + dy) * 9 + x + dx) + c]!
          const outermost = x === 0 || y === 0 || x === 8 || y === 6
          const about = [-1, 0, 1].flatMap((dy) => [-1, 0, 1].map((dx) => at(dx, dy)))
          const expected = outermost ? at(0, 0) : about.sort((a, b) => a - b)[4]
          expect(data[3 * (y * 9 + x) + c], `${x}, ${y}, ${c}`).toBe(expected)
        }
      }
    }
  })

  it('keeps a straight edge and takes a lone pixel away', () => {
    const edge = image(8, 8, (x) => (x < 4 ? 0.2 : 0.7))
    expect(filtered(edge).data).toEqual(edge.data)
    const spot = image(8, 8, (x, y) => (x === 3 && y === 4 ? 1 : 0.25))
    expect(filtered(spot).data).toEqual(image(8, 8, () => 0.25).data)
  })

  it('is the same wherever it is looked at first', () => {
    const next = randomNumbers(8)
    const before = image(250, 120, () => next())
    const whole = filtered(before).data
    const parts = medianFilter(before)
    for (const [left, top, right, bottom] of [
      [180, 90, 181, 95],
      [-30, -5, 100, 100],
      [90, 0, 400, 500],
      [0, 96, 0, 96],
    ] as const)
      parts.need!(left, top, right, bottom)
    expect(parts.data).toEqual(whole)
  })
})
