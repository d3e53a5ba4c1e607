import {
  apply3,
  builtinChart,
  type Mat3,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { expect, test } from 'vitest'
import { bootstrapMatrix } from '../src/compare/bootstrapMatrix.ts'
import { linearMap } from '../src/compare/linearMap.ts'

const matrix: Mat3 = [
  [0.8, 0.15, 0.05],
  [0.1, 0.7, 0.1],
  [0, 0.2, 0.9],
]
const a = [...targetFromReference(builtinChart('chart24'), 'D65', resolvePrimaries('bt709')).light.values()]

/** Noise of a fixed sequence, nearly normal: the sum of twelve uniform numbers less six. */
function noisy(rows: readonly Vec3[], sd: number, start: number): Vec3[] {
  let state = start
  const uniform = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 32
  }
  const normal = () => Array.from({ length: 12 }, uniform).reduce((sum, value) => sum + value, -6)
  return rows.map(([r, g, b]): Vec3 => [r + sd * normal(), g + sd * normal(), b + sd * normal()])
}

test('data that a matrix made give the matrix, and intervals of no width', () => {
  const b = a.map((row) => apply3(matrix, row))
  const found = linearMap(a, b)
  const intervals = bootstrapMatrix(a, b)
  expect(found.rank).toBe(3)
  matrix.forEach((row, r) => {
    row.forEach((value, c) => {
      expect(found.matrix[r as 0][c as 0]).toBeCloseTo(value, 12)
      expect(intervals[r]![c]![0]).toBeCloseTo(value, 10)
      expect(intervals[r]![c]![1]).toBeCloseTo(value, 10)
    })
  })
})

test('intervals hold the truth about as often as they say', () => {
  let held = 0
  const trials = 60
  for (let trial = 0; trial < trials; trial++) {
    const intervals = bootstrapMatrix(
      a,
      noisy(
        a.map((row) => apply3(matrix, row)),
        0.01,
        trial + 1,
      ),
      200,
    )
    matrix.forEach((row, r) => {
      row.forEach((value, c) => {
        const [low, high] = intervals[r]![c]!
        if (low <= value && value <= high) held++
      })
    })
  }
  // 95 % nominal. Davidson and Flachaire 2008 find the wild bootstrap with such signs near its level in samples this small.
  const share = held / (9 * trials)
  expect(share).toBeGreaterThan(0.9)
  expect(share).toBeLessThan(0.99)
})

test('a patch that carries a term alone leaves nothing to tell how sure it is: no intervals, said so', () => {
  const grey: Vec3[] = Array.from({ length: 8 }, (_, i) => [0.1 * i, 0.1 * i + 0.05 * (i % 2), 0])
  const rows: Vec3[] = [...grey, [0.1, 0.1, 0.5]]
  expect(linearMap(rows, rows).rank).toBe(3)
  expect(() => bootstrapMatrix(rows, rows)).toThrowError(
    expect.objectContaining({ code: 'rank-deficient', message: expect.stringContaining('one patch alone') }),
  )
})
