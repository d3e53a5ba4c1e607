import { readdirSync, readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { sourcesDigest } from '../../packages/show/scripts/sourcesDigest.ts'

it('what a build keeps in the cache is kept for these very sources', () => {
  const built = new URL('../../packages/show/dist/', import.meta.url)
  const digest = sourcesDigest()
  const holding = readdirSync(built).filter(
    (name) => name.endsWith('.js') && readFileSync(new URL(name, built), 'utf8').includes(digest),
  )
  expect(holding.length).toBeGreaterThan(0)
})
