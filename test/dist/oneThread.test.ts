import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, it } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'

const built = fileURLToPath(new URL('../../packages/show/dist/', import.meta.url))

const readings = fileURLToPath(new URL('../../examples/colourist/readings/rail-deck.csv', import.meta.url))

/** Counts the threads that a run of the built package starts, since it would do without them just as well. */
const script = (show: string) => `
import threads from 'node:worker_threads'
import { syncBuiltinESMExports } from 'node:module'
let started = 0
const { Worker } = threads
threads.Worker = class extends Worker { constructor(...args) { super(...args); started++ } }
syncBuiltinESMExports()
const { matchShow } = await import(${JSON.stringify(`file://${join(built, 'node.js')}`)})
const { matches } = await matchShow(${JSON.stringify(show)}, { workers: 1, write: false })
console.log(JSON.stringify({ started, matches: matches.length }))
`

it('a show is matched in a thread', () => {
  const folder = scratchFolder('built')
  writeFileSync(
    join(folder, 'show.json'),
    JSON.stringify({
      isochip: 1,
      chart: 'chart24',
      target: { camera: 'a' },
      cameras: ['a', 'b'].map((id) => ({ id, encoding: 'linear', readings })),
    }),
  )
  const run = join(folder, 'run.mjs')
  writeFileSync(run, script(join(folder, 'show.json')))
  const out = execFileSync(process.execPath, [run], { encoding: 'utf8' })
  expect(JSON.parse(out)).toEqual({ started: 1, matches: 2 })
})
