import { expect, it } from 'vitest'
import { informedShare } from '../src/select/blend.ts'

it('an informed match is taken whole where leave-one-out falls by a quarter, a quarter of it where it does not fall', () => {
  expect(informedShare(0.75, 1)).toBe(1)
  expect(informedShare(0.5, 1)).toBe(1)
  expect(informedShare(1, 1)).toBeCloseTo(0.25, 12)
  expect(informedShare(1.2, 1)).toBe(0)
})

it('and the less, the less the matrix leaves of other materials than of the chart', () => {
  expect(informedShare(0.5, 0.35)).toBe(0)
  expect(informedShare(0.5, 0.1)).toBe(0)
  expect(informedShare(0.5, 0.475)).toBeCloseTo(0.5, 12)
  expect(informedShare(0.5, 0.65)).toBe(1)
})
