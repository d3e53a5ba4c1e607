import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { expandFrames } from '../src/read/expandFrames.ts'

const folder = scratchFolder('frames')
mkdirSync(join(folder, 'a', 'deep'), { recursive: true })
for (const name of [
  'day-2.png',
  'day-1.png',
  'day-10.png',
  'day[1].png',
  'a/x.png',
  'a/deep/y.png',
  'a/.hidden.png',
])
  writeFileSync(join(folder, name), '')

const expand = async (...patterns: string[]) =>
  (await expandFrames(patterns, folder, {})).map((path) =>
    path.slice(folder.length + 1).replaceAll('\\', '/'),
  )

test.each([
  [['day-1.png'], ['day-1.png']],
  [['day-?.png'], ['day-1.png', 'day-2.png']],
  [['day-*.png'], ['day-1.png', 'day-10.png', 'day-2.png']],
  [['day-{2,10}.png'], ['day-10.png', 'day-2.png']],
  [['day-[12].png'], ['day-1.png', 'day-2.png']],
  [['a/**/*.png'], ['a/deep/y.png', 'a/x.png']],
  [
    ['day-2.png', 'day-*.png'],
    ['day-2.png', 'day-1.png', 'day-10.png'],
  ],
])('%j', async (patterns, files) => {
  expect(await expand(...patterns)).toEqual(files)
})

test('a file that is called like a pattern is that file', async () => {
  expect(await expand('day[1].png')).toEqual(['day[1].png'])
})

test.each([
  ['day-9.png', 'there is no frame day-9.png'],
  ['night-*.png', 'no file matches night-*.png'],
])('%s is an error at its place in the show', async (pattern, message) => {
  await expect(expandFrames([pattern], folder, { file: 'show.yaml', line: 7 })).rejects.toMatchObject({
    code: 'frame-unreadable',
    message,
    place: { file: 'show.yaml', line: 7 },
  })
})
