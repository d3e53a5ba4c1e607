import { readdirSync, readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { sourcesDigest } from '../../packages/show/scripts/sourcesDigest.ts'

it('what a build keeps in the cache is kept for these very sources', () => {
  const built = new URL('../../packages/show/dist/', import.meta.url)
  const digest = sourcesDigest()
  const holding = readdirSync(built).filter(
    (name) => /\.c?js$/.test(name) && readFileSync(new URL(name, built), 'utf8').includes(digest),
  )
  // Both formats, and the threads of each.
  expect(holding.some((name) => name.endsWith('.cjs'))).toBe(true)
  expect(holding.some((name) => name.endsWith('.js'))).toBe(true)
})
