import { type ChildProcess, fork } from 'node:child_process'
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { seededRandom } from '@isochip/core'
import { inputOf } from './inputOf.ts'
import { limits } from './limits.ts'
import type { Outcome } from './runInput.ts'
import type { Target } from './target.ts'
import { targets } from './targets/targets.ts'
import { usageOf } from './usage.ts'

/**
 * Gives every parser, and the command as a whole, inputs of which a part is wrong, for so many seconds:
 * `npm run fuzz -- SECONDS SEED [TARGET]`. The same seed gives the same inputs in the same order. What is found is printed, and its
 * input kept in the system's folder for temporary files.
 */

/** What a child is asked for. */
export interface Asked {
  readonly target: string
  readonly seed: number
  readonly index: number
}

/** What it tells. */
export type Told =
  | { readonly kind: 'ready'; readonly folder: string }
  | { readonly kind: 'begun'; readonly megabytes: number; readonly bytes: number }
  | ({ readonly kind: 'ended' } & Outcome)

/** Inputs after which a child is begun anew: what one leaves behind is no fault of the next. */
const inputsPerChild = 400
const lookEvery = 50
/** What neither works nor ends, s. */
const longestWait = 180

interface Child {
  readonly process: ChildProcess
  readonly folder: string
  inputs: number
}

async function startChild(): Promise<Child> {
  const child = fork(fileURLToPath(new URL('child.ts', import.meta.url)), {
    execArgv: ['--import', 'tsx/esm', '-C', '@isochip/source'],
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
    serialization: 'advanced',
  })
  const folder = await new Promise<string>((resolve, reject) => {
    child.once('message', (told: Told) => told.kind === 'ready' && resolve(told.folder))
    child.once('exit', (status) => reject(new Error(`the child ended with status ${status} before it began`)))
  })
  child.removeAllListeners('exit')
  return { process: child, folder, inputs: 0 }
}

function endChild({ process: child, folder }: Child): void {
  child.removeAllListeners()
  child.kill('SIGKILL')
  rmSync(folder, { recursive: true, force: true })
}

interface Measured extends Outcome {
  readonly megabytes: number
  /** Is the child gone? */
  readonly ended?: true
}

/** One input in a child, watched from here. */
function measured({ process: child }: Child, target: Target, asked: Asked): Promise<Measured> {
  const mostMegabytes = target.megabytes ?? limits.megabytes
  return new Promise((resolve) => {
    const since = performance.now()
    let before = usageOf(child.pid!)
    let megabytes = 0
    const done = (outcome: Outcome & { ended?: true }) => {
      clearInterval(timer)
      child.removeAllListeners('message')
      child.removeAllListeners('exit')
      const fault = megabytes > mostMegabytes ? `${megabytes.toFixed(0)} MB of memory` : undefined
      resolve({
        ...outcome,
        megabytes,
        ...(outcome.fault === undefined && fault !== undefined ? { fault } : {}),
      })
    }
    const timer = setInterval(() => {
      const now = usageOf(child.pid!)
      if (now !== undefined && before !== undefined) {
        megabytes = Math.max(megabytes, now.megabytes - before.megabytes)
        const seconds = now.seconds - before.seconds
        // A limit is one of a finished input; what is far beyond it is not waited for.
        const why =
          seconds > 3 * limits.seconds
            ? `${seconds.toFixed(0)} s of processor time, and no end`
            : megabytes > 2 * mostMegabytes
              ? `${megabytes.toFixed(0)} MB of memory, and no end`
              : undefined
        if (why !== undefined) done({ accepted: false, seconds, fault: why, ended: true })
      }
      const waited = (performance.now() - since) / 1000
      if (waited > longestWait)
        done({ accepted: false, seconds: 0, fault: `no end after ${longestWait} s`, ended: true })
    }, lookEvery)
    child.once('exit', (status, signal) =>
      done({
        accepted: false,
        seconds: 0,
        fault: `the process ended: ${signal ?? `status ${status}`}`,
        ended: true,
      }),
    )
    child.on('message', (told: Told) => {
      if (told.kind === 'begun') before = usageOf(child.pid!)
      if (told.kind === 'ended') done(told)
    })
    child.send(asked)
  })
}

/** Kinds of the same fault: what differs from input to input is left out. */
const kindOf = (target: string, fault: string) =>
  `${target}: ${fault.split('\n').slice(0, 3).join(' ').replace(/\d+/g, 'N').slice(0, 160)}`

interface Count {
  inputs: number
  accepted: number
  seconds: number
  megabytes: number
}

async function fuzz(seconds: number, seed: number, only: string | undefined): Promise<number> {
  const chosen = targets.filter(({ name }) => only === undefined || name === only)
  const drawn = chosen.flatMap((target) =>
    Array.from({ length: Math.max(1, Math.round(10 * (target.share ?? 1))) }, () => target),
  )
  const random = seededRandom(seed)
  const counts = new Map<string, Count>()
  const faults = new Map<string, number>()
  const end = performance.now() + 1000 * seconds
  const own = mkdtempSync(join(tmpdir(), 'isochip-fuzz-'))
  let child = await startChild()
  let index = 0
  for (; performance.now() < end; index++) {
    const target = drawn[Math.floor(random() * drawn.length)]!
    const asked = { target: target.name, seed, index }
    const { fault, accepted, seconds: took, megabytes, ended } = await measured(child, target, asked)
    const count = counts.get(target.name) ?? { inputs: 0, accepted: 0, seconds: 0, megabytes: 0 }
    counts.set(target.name, {
      inputs: count.inputs + 1,
      accepted: count.accepted + (accepted ? 1 : 0),
      seconds: Math.max(count.seconds, took),
      megabytes: Math.max(count.megabytes, megabytes),
    })
    if (fault !== undefined) {
      const kind = kindOf(target.name, fault)
      const before = faults.get(kind) ?? 0
      faults.set(kind, before + 1)
      if (before === 0) {
        const found = await keep(asked, target, own)
        console.log(`\n${target.name}, input ${index} of seed ${seed} (${found}): ${fault}`)
      }
    }
    child.inputs++
    if (ended || child.inputs >= inputsPerChild) {
      endChild(child)
      child = await startChild()
    }
  }
  endChild(child)
  rmSync(own, { recursive: true, force: true })
  console.log('\ninputs  taken  longest s  most MB  target')
  for (const [name, { inputs, accepted, seconds: most, megabytes }] of counts)
    console.log(
      `${String(inputs).padStart(6)} ${String(accepted).padStart(6)} ${most.toFixed(2).padStart(10)} ${megabytes.toFixed(0).padStart(8)}  ${name}`,
    )
  for (const [kind, count] of faults) console.log(`${count} × ${kind}`)
  console.log(`seed ${seed}: ${index} inputs, ${faults.size} kinds of faults`)
  return faults.size
}

async function keep(asked: Asked, target: Target, folder: string): Promise<string> {
  const found = join(tmpdir(), 'isochip-fuzz-found')
  mkdirSync(found, { recursive: true })
  const path = join(found, `${asked.target.replace(/[^\w]+/g, '-')}-${asked.seed}-${asked.index}`)
  writeFileSync(path, await inputOf(target, asked.seed, asked.index, folder))
  return path
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [seconds = 60, seed = 1] = process.argv.slice(2, 4).map(Number)
  process.exitCode = (await fuzz(seconds, seed, process.argv[4])) === 0 ? 0 : 1
}
