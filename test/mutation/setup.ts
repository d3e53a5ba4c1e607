import { writeFileSync } from 'node:fs'
import { afterAll, expect, inject } from 'vitest'

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

if (report !== undefined) {
  afterAll(() => {
    const file = expect.getState().testPath!
    writeFileSync(`${report}/${encodeURIComponent(file)}.json`, JSON.stringify({ met: [...met], turns }))
  })
}
