import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { version } from '../src/version.ts'

test('is that of the package', () => {
  const text = readFileSync(new URL('../package.json', import.meta.url), 'utf8')
  expect(version).toBe((JSON.parse(text) as { version: string }).version)
})
