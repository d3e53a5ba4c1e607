import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, it } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'

const built = fileURLToPath(new URL('../../packages/show/dist/', import.meta.url))

const readings = fileURLToPath(new URL('../../examples/colourist/readings/rail-deck.csv', import.meta.url))

/** Counts the threads that a run of the built package starts, since it would do without them just as well. */
const script = (load: string, show: string) => `
const threads = require('node:worker_threads')
let started = 0
const { Worker } = threads
threads.Worker = class extends Worker { constructor(...args) { super(...args); started++ } }
require('node:module').syncBuiltinESMExports()
;(async () => {
  const { matchShow } = ${load}
  const { matches } = await matchShow(${JSON.stringify(show)}, { workers: 1, write: false })
  console.log(JSON.stringify({ started, matches: matches.length }))
})()
`

it.each([
  ['ESM', `await import(${JSON.stringify(`file://${join(built, 'node.js')}`)})`],
  ['CommonJS', `require(${JSON.stringify(join(built, 'node.cjs'))})`],
])('%s: a show is matched in a thread', (_, load) => {
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
  const run = join(folder, 'run.cjs')
  writeFileSync(run, script(load, join(folder, 'show.json')))
  const out = execFileSync(process.execPath, [run], { encoding: 'utf8' })
  expect(JSON.parse(out)).toEqual({ started: 1, matches: 2 })
})
