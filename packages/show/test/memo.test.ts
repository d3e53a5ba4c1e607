import { readdirSync, readFileSync, renameSync, utimesSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import * as z from 'zod'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { type DiscardedEntry, Memo, type Step } from '../src/memo/memo.ts'

const day = 24 * 3600 * 1000

interface Thing {
  readonly map: ReadonlyMap<string, number>
  readonly bytes: Uint8Array
}
const thing: Step<Thing> = {
  name: 'thing',
  schema: async () => z.looseObject({ map: z.map(z.string(), z.any()), bytes: z.instanceof(Uint8Array) }),
}

function counted(folder: string | undefined) {
  const discarded: DiscardedEntry[] = []
  const memo = new Memo(folder, (entry) => discarded.push(entry))
  const made = { count: 0 }
  const make = async (): Promise<Thing> => {
    made.count++
    return { map: new Map([['a', Number.NaN]]), bytes: Uint8Array.of(1, 2) }
  }
  return { memo, made, make, discarded }
}

describe('Memo', () => {
  test('makes a thing once, and keeps what a structured clone can hold', async () => {
    const { memo, made, make } = counted(scratchFolder('cache'))
    const first = await memo.memo(thing, { n: 1 }, make)
    expect(first.cached).toBe(false)
    expect(await memo.memo(thing, { n: 1 }, make)).toEqual({ value: first.value, cached: true })
    expect(made.count).toBe(1)
  })

  test('without a folder it keeps nothing', async () => {
    const { memo, made, make } = counted(undefined)
    await memo.memo(thing, 1, make)
    expect((await memo.memo(thing, 1, make)).cached).toBe(false)
    expect(made.count).toBe(2)
  })

  test('what is kept but no longer holds is made again', async () => {
    const { memo, made, make } = counted(scratchFolder('cache'))
    await memo.memo(thing, 1, make)
    expect((await memo.memo(thing, 1, make, () => false)).cached).toBe(false)
    expect(made.count).toBe(2)
  })

  test.each<[string, unknown, unknown]>([
    ['maps', new Map([['x', 2]]), new Map([['x', 3]])],
    ['a map and its entries', new Map([['x', 2]]), [['x', 2]]],
    ['bytes', Uint8Array.of(1), Uint8Array.of(2)],
    ['no number and null', { x: Number.NaN }, { x: null }],
    ['infinities', { x: Number.POSITIVE_INFINITY }, { x: Number.NEGATIVE_INFINITY }],
    ['zero and minus zero', { x: 0 }, { x: -0 }],
    ['a number and its text', { x: 1 }, { x: '1' }],
  ])('inputs that differ have keys that differ: %s', (_, a, b) => {
    expect(Memo.key('thing', a)).not.toBe(Memo.key('thing', b))
  })

  test('steps do not share keys, and a function makes none', () => {
    expect(Memo.key('one', 1)).not.toBe(Memo.key('other', 1))
    expect(() => Memo.key('thing', { make: () => 1 })).toThrow(TypeError)
  })
})

describe('an entry that is wrong is thrown away, told of and made again', () => {
  async function broken(change: (path: string, folder: string) => void | Promise<void>) {
    const folder = scratchFolder('cache')
    const { memo, made, make, discarded } = counted(folder)
    const { value } = await memo.memo(thing, 'a', make)
    const path = join(folder, `${Memo.key('thing', 'a')}.kept`)
    await change(path, folder)
    expect(await memo.memo(thing, 'a', make)).toEqual({ value, cached: false })
    expect(made.count).toBe(2)
    expect(discarded).toMatchObject([{ step: 'thing', file: path }])
    // What was made again is good.
    expect((await memo.memo(thing, 'a', make)).cached).toBe(true)
    return discarded[0]!.reason
  }

  test('every byte of it counts', async () => {
    const folder = scratchFolder('cache')
    const { memo, make, discarded } = counted(folder)
    await memo.memo(thing, 'a', make)
    const path = join(folder, `${Memo.key('thing', 'a')}.kept`)
    const whole = readFileSync(path)
    for (let at = 0; at < whole.length; at++) {
      const flipped = Buffer.from(whole)
      flipped[at]! ^= 1 << (at % 8)
      writeFileSync(path, flipped)
      expect(await memo.recall(thing, 'a'), `byte ${at}`).toBeUndefined()
    }
    expect(discarded).toHaveLength(whole.length)
  })

  test.each([0, 1, 20, 150, 160])('cut to %i bytes', async (length) => {
    await broken((path) => writeFileSync(path, readFileSync(path).subarray(0, length)))
  })

  test('longer than it was', async () => {
    expect(await broken((path) => writeFileSync(path, '\0', { flag: 'a' }))).toBe(
      'its bytes are not those that were kept',
    )
  })

  test('whole, but another one’s', async () => {
    await broken(async (path, folder) => {
      await new Memo(folder).keep(thing, 'b', { map: new Map(), bytes: Uint8Array.of(9) })
      renameSync(join(folder, `${Memo.key('thing', 'b')}.kept`), path)
    })
  })

  test('whole, but not what the step gives', async () => {
    expect(
      await broken((_, folder) => new Memo(folder).keep(thing as Step<unknown>, 'a', { map: 'no map' })),
    ).toBe('it is not what this step gives')
  })
})

test('what nobody asked for in sixty days goes, and is looked for once a day', async () => {
  const folder = scratchFolder('cache')
  const memo = new Memo(folder)
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
  await memo.prune()
  expect(left()).toEqual(['b', 'd'])
  entry('a', 61 * day)
  await memo.prune()
  expect(left()).toEqual(['a', 'b', 'd'])
  await memo.prune(Date.now() + 1.1 * day)
  expect(left()).toEqual(['b'])
})
