import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout } from 'node:timers/promises'
import { fileURLToPath } from 'node:url'
import { splitShow } from '@isochip/show'
import { loadShow, matchShow } from '@isochip/show/node'
import { afterEach, expect, test } from 'vitest'
import { freePort, startRedis } from '../../examples/queue/redis.ts'
import { consumer } from '../support/consumer.ts'
import { filesBelow } from '../support/filesBelow.ts'
import { writeLargeShow } from '../support/largeShow.ts'
import { noControls } from '../support/noControls.ts'
import { scratchFolder } from '../support/scratchFolder.ts'

const example = fileURLToPath(new URL('../../examples/queue/', import.meta.url))
const started: ChildProcess[] = []
/** Seconds. A worker that a busy machine keeps from its turn for longer would count as lost, and nobody would finish its job. */
const lostAfter = 6

afterEach(() => {
  for (const child of started.splice(0)) child.kill('SIGKILL')
})

/** A script of the example in a process of its own. */
function script(name: string, url: string, ...argv: string[]) {
  const child = spawn(process.execPath, ['--import', 'tsx/esm', join(example, name), ...argv], {
    cwd: example,
    env: { ...process.env, REDIS_URL: url, LOST_AFTER: String(lostAfter) },
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  started.push(child)
  const lines: string[] = []
  child.stdout.on('data', (text: Buffer) => lines.push(...text.toString().trimEnd().split('\n')))
  const said = async (text: string) => {
    while (!lines.some((line) => line.startsWith(text))) await setTimeout(20)
  }
  return { child, lines, said }
}

const bytes = (folder: string) =>
  new Map(filesBelow(folder).map((name) => [name, readFileSync(join(folder, name)).toString('base64')]))

consumer('redis').describe('a queue', () => {
  test('a worker killed in mid-job and a Redis killed and started anew: every result is there, once', async () => {
    const folder = scratchFolder('queue')
    const show = await writeLargeShow(join(folder, 'card'), {
      cameras: 2,
      setups: 3,
      width: 320,
      height: 180,
      corners: true,
      lattice: 17,
      controls: noControls,
    })
    // What each part comes to where nothing goes wrong.
    const { plan, folder: base } = await loadShow(show)
    const parts = splitShow(plan.show)
    for (const { setups, show: part } of parts)
      await matchShow(part, { folder: base, out: join(folder, 'calm', setups[0]!), workers: 0 })

    const port = await freePort()
    const url = `redis://127.0.0.1:${port}`
    let redis = await startRedis(port, folder)
    started.push(redis)
    const out = join(folder, 'out')
    const put = script('enqueue.ts', url, show, out)
    await once(put.child, 'exit')
    expect(put.lines).toEqual(['3 jobs are in the queue'])
    // Put in twice, done once.
    await once(script('enqueue.ts', url, show, out).child, 'exit')

    const first = script('worker.ts', url)
    await first.said('done scene001')
    await first.said('takes scene002')
    first.child.kill('SIGKILL')
    await once(first.child, 'exit')
    redis.removeAllListeners('exit')
    redis.kill('SIGKILL')
    await once(redis, 'exit')
    redis = await startRedis(port, folder)
    started.push(redis)
    const second = script('worker.ts', url)
    for (const { setups } of parts.slice(1)) await second.said(`done ${setups[0]}`)

    const counts = script('counts.ts', url)
    await once(counts.child, 'exit')
    expect(JSON.parse(counts.lines[0]!)).toEqual({
      completed: 3,
      failed: 0,
      waiting: 0,
      active: 0,
      delayed: 0,
    })
    expect([...first.lines, ...second.lines].filter((line) => line.startsWith('done'))).toHaveLength(3)
    // The same files with the same bytes, and nothing else: no part of a file, no temporary one.
    expect(bytes(out)).toEqual(bytes(join(folder, 'calm')))
    expect([...bytes(out).keys()].filter((name) => name.endsWith('.match.json'))).toHaveLength(6)
  })
})
