import { expect, test } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'
import { fromSources, killedMatches } from './support/killedMatches.ts'

// test/gallery/killedMatches.ts does the same two hundred times.
test('killed at any moment, it leaves whole files only, and a new run comes to the same bytes', async () => {
  const { hits, faults } = await killedMatches(scratchFolder('killed'), 6, fromSources)
  expect(faults).toEqual([])
  expect(hits, 'runs that were killed before their end').toBeGreaterThan(2)
})
