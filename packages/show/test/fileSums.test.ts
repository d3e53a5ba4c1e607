import { renameSync, statSync, utimesSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout } from 'node:timers/promises'
import { describe, expect, test } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { FileSums, fileStamp } from '../src/memo/fileSums.ts'
import { Memo } from '../src/memo/memo.ts'

const sha256 = 'a'.repeat(64)

/** A file whose checksum is known, long enough after it was written. */
async function known() {
  const path = join(scratchFolder('sums'), 'frame.png')
  writeFileSync(path, 'before')
  // A whole second, which can be set again to the last digit.
  const then = new Date(1000 * Math.floor(Date.now() / 1000) - 3600_000)
  utimesSync(path, then, then)
  const sums = await FileSums.open(new Memo(), 'here')
  sums.note(path, (await fileStamp(path))!, sha256, Date.now() + 10_000)
  expect(await sums.known(path)).toBe(sha256)
  // Longer than two changes may carry the same time.
  await setTimeout(50)
  return { path, sums }
}

describe('a file counts as touched', () => {
  test('when its bytes changed and its size and time of modification were put back', async () => {
    const { path, sums } = await known()
    const { atime, mtime, size, ino } = statSync(path)
    writeFileSync(path, 'behind')
    utimesSync(path, atime, mtime)
    const now = statSync(path)
    expect([now.size, now.ino, now.mtimeMs]).toEqual([size, ino, mtime.getTime()])
    expect(await sums.known(path)).toBeUndefined()
  })

  test('when another file took its place', async () => {
    const { path, sums } = await known()
    const { atime, mtime } = statSync(path)
    writeFileSync(`${path}.new`, 'behind')
    utimesSync(`${path}.new`, atime, mtime)
    renameSync(`${path}.new`, path)
    expect(await sums.known(path)).toBeUndefined()
  })

  test('when its time of modification changed', async () => {
    const { path, sums } = await known()
    utimesSync(path, new Date(), new Date())
    expect(await sums.known(path)).toBeUndefined()
  })
})
