import { readdirSync, utimesSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { ContentCache } from '../src/memo/contentCache.ts'

const day = 24 * 3600 * 1000

test('makes a thing once, and keeps what a structured clone can hold', async () => {
  const cache = new ContentCache(scratchFolder('cache'))
  let made = 0
  const make = async () => {
    made++
    return { map: new Map([['a', Number.NaN]]), bytes: Uint8Array.of(1, 2) }
  }
  const first = await cache.keep('thing', [1, new Map([['x', 2]])], make)
  expect(await cache.keep('thing', [1, new Map([['x', 2]])], make)).toEqual(first)
  expect(made).toBe(1)
  await cache.keep('thing', [1, new Map([['x', 3]])], make)
  expect(made).toBe(2)
})

test('what nobody asked for in sixty days goes, and is looked for once a day', async () => {
  const folder = scratchFolder('cache')
  const cache = new ContentCache(folder)
  const entry = (letter: string, age: number, ending = '') => {
    const path = join(folder, `${letter.repeat(64)}.kept${ending}`)
    writeFileSync(path, '')
    const then = new Date(Date.now() - age)
    utimesSync(path, then, then)
  }
  const left = () =>
    readdirSync(folder)
      .filter((name) => name.includes('.kept'))
      .map((name) => name[0])
      .sort()
  entry('a', 61 * day)
  entry('b', 58 * day)
  entry('c', day / 12, '.00000000')
  entry('d', day / 48, '.00000000')
  await cache.prune()
  expect(left()).toEqual(['b', 'd'])
  entry('a', 61 * day)
  await cache.prune()
  expect(left()).toEqual(['a', 'b', 'd'])
  await cache.prune(Date.now() + 1.1 * day)
  expect(left()).toEqual(['b'])
})
