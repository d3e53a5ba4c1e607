import { cpSync, existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { IsochipError } from '@isochip/core'
import { splitShow } from '@isochip/show'
import {
  compareShow,
  loadShow,
  type MatchShowOptions,
  matchShow,
  type ShowEvent,
  verifyShow,
} from '@isochip/show/node'
import { beforeAll, describe, expect, test } from 'vitest'
import { filesBelow } from '../support/filesBelow.ts'
import { writeLargeShow } from '../support/largeShow.ts'
import { scratchFolder } from '../support/scratchFolder.ts'

const size = { cameras: 2, setups: 2, width: 320, height: 180, corners: true, lattice: 17 }
let folder: string
let show: string
/** By this thread alone, with nothing kept: what most tests compare with, or begin where it ended. */
let first: Awaited<ReturnType<typeof run>>

beforeAll(async () => {
  folder = scratchFolder('threads')
  show = await writeLargeShow(join(folder, 'card'), size)
  first = await run('first', { workers: 0, cache: join(folder, 'kept') })
})

/** The files of the first run and what was kept of it, under another name. */
function continued(out: string): { cache: string } {
  const cache = join(folder, `kept-${out}`)
  cpSync(join(folder, 'first'), join(folder, out), { recursive: true })
  cpSync(join(folder, 'kept'), cache, { recursive: true })
  return { cache }
}

const bytes = (out: string) =>
  new Map(filesBelow(out).map((name) => [name, readFileSync(join(out, name)).toString('base64')]))

async function run(out: string, options: MatchShowOptions) {
  const events: ShowEvent[] = []
  const result = await matchShow(show, {
    ...options,
    out: join(folder, out),
    onEvent: (event) => events.push(event),
  })
  const fresh = events.flatMap((event) =>
    (event.type === 'shot-read' || event.type === 'match-finished') && !event.cached
      ? [`${event.type === 'shot-read' ? 'read' : 'matched'} ${event.setup} ${event.camera}`]
      : [],
  )
  return { result, events, fresh: fresh.sort(), files: bytes(join(folder, out)) }
}

describe('threads', () => {
  // By one other alone: below, with a fault.
  test('the same bytes by this thread and two others', async () => {
    const two = await run('two', { workers: 2 })
    expect(first.files.size).toBe(2 * 2 * 3 + 4)
    expect(two.files).toEqual(first.files)
    expect(two.result).toEqual({ ...first.result, out: two.result.out })
    // Every step is told once.
    const { events } = two
    expect(events[0]).toEqual({ type: 'started', shots: 4, setups: 2, matches: 4 })
    const done = (type: 'shot-read' | 'match-finished') =>
      events.flatMap((event) => (event.type === type ? [event.done] : []))
    expect(done('shot-read')).toEqual([1, 2, 3, 4])
    expect(done('match-finished')).toEqual([1, 2, 3, 4])
    expect(events.at(-1)).toEqual({ type: 'written', files: 16, unchanged: 0 })
  })

  test('a fault of the input is the same error in every thread, and the other files are the same bytes', async () => {
    const frame = join(folder, 'card', 'camera02', 'scene001.png')
    const whole = readFileSync(frame)
    writeFileSync(frame, whole.subarray(0, 5000))
    try {
      const here = await run('fault-here', { workers: 0 })
      const two = await run('fault-two', { workers: 1 })
      expect(here.result.failures).toHaveLength(1)
      expect(here.result.failures[0]).toBeInstanceOf(IsochipError)
      expect(here.result.failures[0]).toMatchObject({
        code: 'frame-unreadable',
        place: { camera: 'camera02', setup: 'scene001' },
      })
      const told = ({ code, message, hint, place }: IsochipError) => ({ code, message, hint, place })
      expect(two.result.failures.map(told)).toEqual(here.result.failures.map(told))
      expect(two.result.failures[0]).toBeInstanceOf(IsochipError)
      expect(two.files).toEqual(here.files)
    } finally {
      writeFileSync(frame, whole)
    }
  })

  test('ended in the middle: nothing is written, and what was read is not read again', async () => {
    const abort = new AbortController()
    const cache = join(folder, 'kept-ended')
    const ended = matchShow(show, {
      out: join(folder, 'ended'),
      workers: 1,
      cache,
      signal: abort.signal,
      onEvent: (event) => {
        if (event.type === 'match-finished') abort.abort()
      },
    })
    await expect(ended).rejects.toMatchObject({ code: 'cancelled' })
    expect(existsSync(join(folder, 'ended'))).toBe(false)
    const again = await run('ended', { workers: 0, cache })
    expect(again.fresh.filter((what) => what.startsWith('read scene001'))).toEqual([])
    expect(again.result.within).toBe(true)
  })
})

describe('with a cache', () => {
  test('a second run does nothing; after one frame was changed only what rests on it', async () => {
    const { cache } = continued('kept-out')
    expect(first.fresh).toHaveLength(8)
    expect(first.result.kept).toEqual({ shots: 0, matches: 0 })
    const second = await run('kept-out', { workers: 0, cache })
    expect(second.fresh).toEqual([])
    expect(second.result.kept).toEqual({ shots: 4, matches: 4 })
    expect(second.result.unchanged).toHaveLength(16)
    expect(second.files).toEqual(first.files)

    const other = join(folder, 'other')
    await writeLargeShow(other, { ...size, setups: 1, noise: 99 })
    const card = join(folder, 'card')
    const replace = (camera: string) => {
      const frame = join(camera, 'scene001.png')
      const before = readFileSync(join(card, frame))
      writeFileSync(join(card, frame), readFileSync(join(other, frame)))
      return () => writeFileSync(join(card, frame), before)
    }
    const undo = [replace('camera02')]
    try {
      const third = await run('kept-out', { workers: 0, cache })
      expect(third.fresh).toEqual(['matched scene001 camera02', 'read scene001 camera02'])
      // The target, on which the others of its setup rest.
      undo.push(replace('camera01'))
      const fourth = await run('kept-out', { workers: 0, cache })
      expect(fourth.fresh).toEqual([
        'matched scene001 camera01',
        'matched scene001 camera02',
        'read scene001 camera01',
      ])
      expect(fourth.files).toEqual((await run('without', { workers: 0 })).files)
    } finally {
      for (const back of undo) back()
    }
  })

  test('an output that somebody changed or took away is made again', async () => {
    const { cache } = continued('changed')
    const cube = join(folder, 'changed', 'scene001', 'camera02.cube')
    writeFileSync(cube, readFileSync(cube, 'utf8').replace(/0\.5/, '0.6'))
    const again = await run('changed', { workers: 0, cache })
    expect(again.fresh).toEqual(['matched scene001 camera02'])
    expect(again.files).toEqual(first.files)
  })
})

test('the parts of a show come to the files of the whole', async () => {
  const { plan, folder: base } = await loadShow(show)
  for (const { show: part } of splitShow(plan.show))
    await matchShow(part, { folder: base, out: join(folder, 'parts'), workers: 0 })
  const ofMatches = ([name]: [string, string]) => name.includes('/')
  expect(new Map([...bytes(join(folder, 'parts'))].filter(ofMatches))).toEqual(
    new Map([...first.files].filter(ofMatches)),
  )
})

test('verify and compare read in threads too, and not what is known', async () => {
  const { cache } = continued('luts')
  const luts = join(folder, 'luts')
  const read: boolean[] = []
  const onEvent = (event: ShowEvent) => {
    if (event.type === 'shot-read') read.push(event.cached)
  }
  const here = await verifyShow(show, { luts, workers: 0 })
  expect(here.within).toBe(true)
  expect(await verifyShow(show, { luts, workers: 1, onEvent })).toEqual(here)
  expect(read.splice(0)).toEqual(Array(4).fill(false))
  expect(await verifyShow(show, { luts, workers: 0, cache, onEvent })).toEqual(here)
  expect(read.splice(0)).toEqual(Array(4).fill(true))
  expect(await compareShow(show, { workers: 0, cache, onEvent })).toEqual(
    await compareShow(show, { workers: 0 }),
  )
  expect(read).toEqual(Array(4).fill(true))
})
