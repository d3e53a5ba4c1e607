import { expect, test } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'
import { killedMatches } from './support/killedMatches.ts'

// test/gallery/killedMatches.ts does the same two hundred times, with a show of two setups.
test('killed at any moment, it leaves whole files only, and a new run comes to the same bytes', async () => {
  const { hits, faults } = await killedMatches(scratchFolder('killed'), {
    rounds: 60,
    enough: 3,
    setups: 1,
  })
  expect(faults).toEqual([])
  expect(hits, 'runs that were killed before their end').toBe(3)
})
