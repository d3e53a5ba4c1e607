import { expect, it } from 'vitest'
import { findLattices } from '../src/find/candidates/lattice.ts'
import type { PatchCandidate } from '../src/find/candidates/patchCandidates.ts'
import { constants } from '../src/find/constants.ts'

/** A wall of tiles: columns × rows of them, 10 pixels apart. */
const wall = (columns: number, rows: number): PatchCandidate[] =>
  Array.from({ length: columns * rows }, (_, k) => ({
    centre: [10 * (k % columns) + 5, 10 * Math.floor(k / columns) + 5],
    u: [8, 0],
    v: [0, 8],
    area: 64,
  }))

it('finds all of a chart that is as a wall of tiles, and spends little of what a frame may cost', () => {
  const { growing } = constants.budget
  const budget = { growing }
  const [first] = findLattices(wall(8, 6), 0.2, budget)
  expect(first!.members).toHaveLength(48)
  expect(budget.growing).toBeGreaterThan(0.99 * growing)
})

it('ends when the budget is spent, however many tiles there are', () => {
  const budget = { growing: 2 }
  findLattices(wall(60, 50), 0.2, budget)
  expect(budget.growing).toBeLessThanOrEqual(0)
  // One round may overdraw it, of no more members than there are.
  expect(budget.growing).toBeGreaterThan(-constants.budget.grown * 3000)
})
