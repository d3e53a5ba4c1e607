import { join } from 'node:path'
import { expect, test } from 'vitest'
import { lineUpDay, mishaps } from '../support/lineUpDay.ts'
import { scratchFolder } from '../support/scratchFolder.ts'

// Hundreds of shots: test/gallery/lineUpDay.ts, by hand.
test('whatever is wrong with a frame is told, nothing ends, and the next whole frame is the next round', async () => {
  const { rounds, said, wrong } = await lineUpDay(
    join(scratchFolder('line-up-day'), 'day'),
    mishaps.length,
    1,
  )
  expect(wrong).toBe(0)
  // One round to begin with, and one after each mishap at least.
  for (const [camera, count] of rounds) expect(count, camera).toBeGreaterThanOrEqual(2)
  for (const mishap of mishaps) expect(said.get(mishap), mishap).toHaveLength(1)
  const words = Object.fromEntries([...said].map(([mishap, [first]]) => [mishap, first!]))
  expect(words['half written']).toContain('cannot be decoded')
  expect(words.gone).toContain('is gone')
  expect(words['no chart']).toContain('no chart shows at the corners')
  expect(words['two charts']).toBe('charts-several')
})
