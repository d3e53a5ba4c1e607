import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { matchShow, type ShowEvent } from '@isochip/show/node'
import { describe, expect, test } from 'vitest'
import { filesBelow } from '../support/filesBelow.ts'
import { runCommand } from './support/runCommand.ts'
import { smallCameras, smallFrame, writeSmallShow } from './support/smallShow.ts'

/** Which shots of frames were read anew. */
const fresh = (events: readonly ShowEvent[]) =>
  events.flatMap((event) => (event.type === 'shot-read' && !event.cached ? [event.camera] : [])).sort()

async function run(folder: string, more: { cache?: string; out?: string; signal?: AbortSignal } = {}) {
  const events: ShowEvent[] = []
  const result = await matchShow(join(folder, 'show.yaml'), {
    cache: join(folder, 'kept'),
    ...more,
    onEvent: (event) => events.push(event),
  })
  return { result, events }
}

const bytes = (folder: string) =>
  new Map(filesBelow(folder).map((name) => [name, readFileSync(join(folder, name)).toString('base64')]))

describe('another run', () => {
  test('reads only what has changed, and writes the same bytes as one without memory', async () => {
    const folder = await writeSmallShow()
    const first = await run(folder)
    expect(fresh(first.events)).toEqual(['crane', 'cross', 'wide'])
    expect(first.result.unchanged).toEqual([])
    const again = await run(folder)
    // Readings files are read every time: that is quicker than looking them up.
    expect(fresh(again.events)).toEqual(['cross'])
    expect(again.result.unchanged).toEqual(again.result.files)
    expect(again.result.files).toEqual(first.result.files)

    writeFileSync(join(folder, 'crane-2.png'), await smallFrame(smallCameras[2]!))
    const changed = await run(folder)
    expect(fresh(changed.events)).toEqual(['crane', 'cross'])
    const kept = bytes(changed.result.out)
    rmSync(join(folder, 'kept'), { recursive: true })
    const plain = await run(folder, { out: join(folder, 'plain') })
    expect(fresh(plain.events)).toEqual(['crane', 'cross', 'wide'])
    expect(bytes(plain.result.out)).toEqual(kept)
  })

  test('does not stumble over entries that are broken', async () => {
    const folder = await writeSmallShow()
    const first = await run(folder)
    const before = bytes(first.result.out)
    for (const name of readdirSync(join(folder, 'kept')))
      writeFileSync(join(folder, 'kept', name), '{"key": 1')
    const again = await run(folder)
    expect(fresh(again.events)).toEqual(['crane', 'cross', 'wide'])
    expect(bytes(again.result.out)).toEqual(before)
  })

  test('says under --verbose what it threw away, and else nothing', async () => {
    const folder = await writeSmallShow()
    const cache = join(folder, 'kept')
    const again = async (...more: string[]) => {
      for (const name of readdirSync(cache)) writeFileSync(join(cache, name), 'isochip-kept/2')
      return await runCommand('match', join(folder, 'show.yaml'), '--cache', cache, ...more)
    }
    await run(folder)
    expect((await again()).err).toBe('')
    expect((await again('--verbose')).err).toMatch(
      /^(made again: the (shot|fit|finish|report|sums) kept in .*\.kept, because it is no entry of this version\n)+$/,
    )
  })

  test('after one that was ended: nothing was written, what was read is not read again', async () => {
    const folder = await writeSmallShow()
    const abort = new AbortController()
    const ended = matchShow(join(folder, 'show.yaml'), {
      cache: join(folder, 'kept'),
      workers: 0,
      signal: abort.signal,
      onEvent: (event) => {
        if (event.type === 'shot-read' && event.camera === 'wide') abort.abort()
      },
    })
    await expect(ended).rejects.toMatchObject({ code: 'cancelled' })
    expect(existsSync(join(folder, 'isochip-out'))).toBe(false)
    const again = await run(folder)
    expect(fresh(again.events)).not.toContain('wide')
    expect(again.result.within).toBe(true)
  })

  test('a folder that cannot be made is as good as none', async () => {
    const folder = await writeSmallShow()
    const { result } = await run(folder, { cache: join(folder, 'wide.png', 'kept') })
    expect(result.within).toBe(true)
  })
})
