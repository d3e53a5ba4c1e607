import { readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { matchShow } from '@isochip/show/node'
import { expect, it } from 'vitest'
import { writeLargeShow } from '../support/largeShow.ts'
import { scratchFolder } from '../support/scratchFolder.ts'

it('the page of eight cameras, 48 patches each, with all pictures, is under 1.5 MB', async () => {
  const folder = scratchFolder('page-size')
  const show = await writeLargeShow(folder, {
    cameras: 8,
    setups: 1,
    width: 960,
    height: 540,
    corners: true,
    chart: 'quay48',
  })
  await matchShow(show, { workers: 0 })
  const file = join(folder, 'isochip-out', 'report.html')
  const page = readFileSync(file, 'utf8')
  // Sampled areas of all, as shot and matched of seven, and the target's own frame once.
  expect(page.match(/data:image\/jpeg;base64,/g)).toHaveLength(8 + 2 * 7 + 1)
  expect(statSync(file).size).toBeLessThan(1_500_000)
})
