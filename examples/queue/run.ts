import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { freePort, startRedis } from './redis.ts'

/*
 * All of it on one machine: a Redis of its own, the show of the colourist's example as jobs, two workers, and what
 * came of it.
 *
 *     npm start            (or: node --import tsx/esm run.ts [SHOW [FOLDER FOR THE LUTS]])
 */
const here = fileURLToPath(new URL('.', import.meta.url))
const [show = join(here, '..', 'colourist', 'show.yaml'), out = join(here, 'luts')] = process.argv.slice(2)

const store = await mkdtemp(join(tmpdir(), 'isochip-redis-'))
const port = await freePort()
const redis = await startRedis(port, store).catch((cause: Error) => {
  console.error(cause.message)
  process.exit(2)
})
// Read when the modules of the queue are loaded, here and in the workers.
process.env.REDIS_URL = `redis://127.0.0.1:${port}`
const { enqueue } = await import('./enqueue.ts')
const { outcomes } = await import('./outcomes.ts')

const workers = [1, 2].map((number) => {
  const child = spawn(process.execPath, [...process.execArgv, join(here, 'worker.ts')], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  child.stdout?.on('data', (text: Buffer) => {
    for (const line of text.toString().trimEnd().split('\n')) console.log(`worker ${number} ${line}`)
  })
  return child
})
try {
  const ids = await enqueue(show, out)
  for (const { name, result, error } of await outcomes(ids)) {
    const verdict = error ?? (result?.within ? 'within tolerance' : 'out of tolerance')
    console.log(`${name}: ${verdict}${result?.failures.map((text) => `; ${text}`).join('') ?? ''}`)
    if (error !== undefined) process.exitCode = 2
  }
  console.log(`the LUTs are in ${out}`)
} finally {
  for (const child of workers) {
    child.kill('SIGTERM')
    await once(child, 'exit')
  }
  redis.removeAllListeners('exit')
  redis.kill('SIGTERM')
  await once(redis, 'exit')
  await rm(store, { recursive: true, force: true })
}
