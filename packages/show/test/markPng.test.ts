import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { decodeFrame, encodeFrame } from '@isochip/frames/node'
import { expect, test } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { isOurs, markPng } from '../src/files/ownMark.ts'

test('a marked PNG is known for ours, and is the same picture to a reader that checks every checksum', async () => {
  const folder = scratchFolder('mark')
  const frame = createFrame(2, 1, Uint16Array.from([1, 2, 3, 40000, 50000, 60000]), 16)
  const plain = await encodeFrame(frame, { format: 'png' })
  writeFileSync(join(folder, 'plain.png'), plain)
  writeFileSync(join(folder, 'marked.png'), markPng(plain))
  expect(await isOurs(join(folder, 'plain.png'))).toBe(false)
  expect(await isOurs(join(folder, 'marked.png'))).toBe(true)
  expect(await isOurs(join(folder, 'none.png'))).toBeUndefined()
  expect((await decodeFrame(markPng(plain))).data).toEqual(frame.data)
})
