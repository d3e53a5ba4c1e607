import { expect, test } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'
import { brokenCache } from './support/brokenCache.ts'

// test/gallery/brokenCache.ts does the same a thousand times.
test('whatever is broken of what an earlier run kept: the bytes are right, and it is told', async () => {
  const rounds = 40
  const { done, told, faults } = await brokenCache(scratchFolder('broken'), rounds)
  expect(faults).toEqual([])
  expect(Object.keys(done)).toHaveLength(5)
  // An entry that no step asks for in a run is not looked at: what a page was made from where its bytes are asked for.
  expect(told).toBeGreaterThan(rounds / 2)
})
