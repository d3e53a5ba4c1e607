import { spawn } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { checkFiles } from '@isochip/show/node'
import { asBuilt } from '../../support/asBuilt.ts'
import { filesBelow } from '../../support/filesBelow.ts'
import { writeLargeShow } from '../../support/largeShow.ts'

/** Starts the command in a process of its own; kills it after so many milliseconds. How did it end, and when? */
function spawned(argv: readonly string[], after?: number) {
  const begun = performance.now()
  const child = spawn(process.execPath, [...asBuilt, ...argv], { stdio: 'ignore' })
  if (after !== undefined) setTimeout(() => child.kill('SIGKILL'), after)
  return new Promise<{ killed: boolean; status: number | null; took: number }>((resolve) =>
    child.once('close', (status, signal) =>
      resolve({ killed: signal === 'SIGKILL', status, took: performance.now() - begun }),
    ),
  )
}

const isTemporary = (name: string) => name.endsWith('.isochip-tmp') || name.includes('.isochip-lock')
const fileOf = (folder: string, name: string) => readFileSync(join(folder, name)).toString('base64')
const bytes = (folder: string) => new Map(filesBelow(folder).map((name) => [name, fileOf(folder, name)]))
const same = (a: ReadonlyMap<string, string>, b: ReadonlyMap<string, string>) =>
  a.size === b.size && [...a].every(([name, content]) => b.get(name) === content)

export interface KilledMatches {
  /** Runs that were killed before their end. */
  readonly hits: number
  /** Kills that left temporary files behind, so that there was something to be cleared up. */
  readonly leftovers: number
  /** Kills that left files of two runs side by side, all of which the check of the folder told of. */
  readonly mixed: number
  /** What was not as it should be, in words; empty where all is well. */
  readonly faults: readonly string[]
}

/**
 * Kills matches at moments spread over the time that one takes, in one output folder whose files every run changes;
 * after each kill looks at what is there, then lets a run finish and looks again.
 *
 * @param folder for the show and what comes of it
 * @param setups of the show: the more, the longer its files are written
 * @param enough runs killed before their end with which to stop: how many of the moments meet one is the machine's affair
 */
export async function killedMatches(
  folder: string,
  {
    rounds,
    enough = rounds,
    setups = 2,
  }: { readonly rounds: number; readonly enough?: number; readonly setups?: number },
): Promise<KilledMatches> {
  const show = await writeLargeShow(join(folder, 'card'), {
    cameras: 2,
    setups,
    width: 320,
    height: 180,
    corners: true,
  })
  // Two shows of the same frames whose LUTs, match files and reports all differ.
  const shows = [9, 17].map((size) => {
    const path = join(folder, 'card', `size${size}.json`)
    const whole = { ...JSON.parse(readFileSync(show, 'utf8')), title: `Size ${size}`, output: { size } }
    writeFileSync(path, JSON.stringify(whole))
    return path
  })
  const calm: ReadonlyMap<string, string>[] = []
  /** What a run took lately: a machine with other work may be slower now than it was, or faster. */
  let usual = 0
  for (const [index, one] of shows.entries()) {
    const out = join(folder, `calm${index}`)
    const { status, took } = await spawned(['match', one, '--out', out, '--workers', '2', '--no-cache'])
    if (status !== 0) throw new Error(`the undisturbed run ended with status ${status}`)
    usual = Math.max(usual, took)
    calm.push(bytes(out))
  }

  // A fixed sequence of moments.
  let state = 7
  const random = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 32
  }
  const out = join(folder, 'out')
  const faults: string[] = []
  let hits = 0
  let leftovers = 0
  let mixed = 0
  for (let round = 0; round < rounds && hits < enough; round++) {
    const which = round % 2
    const cache = round % 4 < 2 ? ['--no-cache'] : ['--cache', join(folder, 'kept')]
    const argv = ['match', shows[which]!, '--out', out, '--workers', String(round % 3), ...cache]
    // A process that has only just begun has nothing to be killed at.
    if ((await spawned(argv, usual * (0.25 + 0.75 * random()))).killed) hits++
    const left = filesBelow(folder).flatMap((name) => (name.startsWith('out/') ? [name.slice(4)] : []))
    if (left.some(isTemporary)) leftovers++
    for (const name of left.filter((one) => !isTemporary(one))) {
      const content = readFileSync(join(out, name)).toString('base64')
      if (!calm.some((files) => files.get(name) === content))
        faults.push(`round ${round}: ${name} is not a whole file of either run`)
    }
    const files = new Map(left.filter((one) => !isTemporary(one)).map((name) => [name, fileOf(out, name)]))
    const whole = calm.some((one) => same(files, one))
    if (files.size > 0) {
      const check = await checkFiles(out)
      // The list may be that of the run before, all of whose files are there still.
      if (check.whole !== whole)
        faults.push(`round ${round}: files of ${whole ? 'one run' : 'two'}, and the check says otherwise`)
      if (!whole) mixed++
    }
    const { status, took } = await spawned(argv)
    if (round % 4 < 2) usual = took
    if (status !== 0) faults.push(`round ${round}: the run after it ended with status ${status}`)
    else if (!same(bytes(out), calm[which]!))
      faults.push(`round ${round}: the run after it did not come to the files of an undisturbed one`)
  }
  return { hits, leftovers, mixed, faults }
}
