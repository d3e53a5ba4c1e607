import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { readingsToCsv } from '@isochip/frames'
import { splitShow } from '@isochip/show'
import { checkFiles, loadShow, matchShow, verifyShow } from '@isochip/show/node'
import { expect, test } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'
import { smallCameras, smallReadings } from './support/smallShow.ts'

/** A show of two setups, from readings alone. */
function writeShow(): string {
  const folder = scratchFolder('parts')
  const cameras = smallCameras.map((camera) => {
    const { id, encoding } = camera
    writeFileSync(join(folder, `${id}.csv`), readingsToCsv(smallReadings(camera)))
    const shots = ['day', 'night'].map((setup) => `{ setup: ${setup}, readings: ${id}.csv }`)
    return `  - { id: ${id}, encoding: ${encoding}, shots: [${shots.join(', ')}] }`
  })
  const file = join(folder, 'show.yaml')
  writeFileSync(
    file,
    ['isochip: 1', 'chart: chart24', 'target: { camera: wide }', 'cameras:', ...cameras, ''].join('\n'),
  )
  return file
}

test('parts of a show that go into one folder are all of it, and none is left over', async () => {
  const file = writeShow()
  const { plan, folder } = await loadShow(file)
  const parts = splitShow(plan.show)
  expect(parts.map(({ setups }) => setups)).toEqual([['day'], ['night']])
  const match = async (out: string, part: boolean) => {
    for (const { show } of parts) await matchShow(show, { folder, out, part })
  }

  const together = join(folder, 'together')
  await match(together, true)
  const check = await checkFiles(together)
  expect(check).toMatchObject({ whole: true, left: [], missing: [], changed: [] })
  for (const setup of ['day', 'night']) expect(check.files).toContain(`${setup}/cross.cube`)
  const verified = await verifyShow(file, { luts: together })
  const codes = verified.setups.flatMap(({ cameras }) =>
    cameras.flatMap(({ warnings }) => warnings.map(({ code }) => code)),
  )
  expect(codes).not.toContain('lut-of-earlier-run')

  // Runs that know nothing of each other: of the first one's files nobody can say that they belong to the second.
  const apart = join(folder, 'apart')
  await match(apart, false)
  expect((await checkFiles(apart)).left).toContain('day/cross.cube')
})
