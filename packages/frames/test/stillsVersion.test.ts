import sharp from 'sharp'
import { expect, test } from 'vitest'
import { stillsVersion } from '../src/node.ts'

test('the release of sharp, as the library itself says it', async () => {
  expect(await stillsVersion()).toBe(`sharp ${sharp.versions.sharp}`)
})
