import { writeFileSync } from 'node:fs'
import { afterAll, afterEach, beforeEach, expect, inject } from 'vitest'

/** What the instrumented sources ask: `mutants.ts` writes the calls into them. */
interface Mutants {
  at(id: number): boolean
  turn(): void
}
declare global {
  var mutants: Mutants
}

const { on, limit, report } = inject('mutation')
let turns = 0
const met = new Set<number>()
globalThis.mutants = {
  at(id) {
    if (on === undefined) met.add(id)
    return id === on
  },
  turn() {
    turns++
    if (turns > limit) throw new Error('a loop does not end')
  },
}

// One failure is enough. The runner's own `bail` ends the run that comes after as well.
let failed = false
afterEach(({ task }) => {
  failed ||= task.result?.state === 'fail'
})
beforeEach(({ skip }) => skip(failed, 'one has failed'))

if (report !== undefined) {
  afterAll(() => {
    const file = expect.getState().testPath!
    writeFileSync(`${report}/${encodeURIComponent(file)}.json`, JSON.stringify({ met: [...met], turns }))
  })
}
