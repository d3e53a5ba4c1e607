import { mkdirSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { errorFault, resultFault } from './judge.ts'
import { limits } from './limits.ts'
import type { Target } from './target.ts'

export interface Outcome {
  /** Was the input taken? */
  readonly accepted: boolean
  /** What is wrong, in words; `undefined` where all is well. */
  readonly fault?: string
  /** Processor time, s. */
  readonly seconds: number
}

/** Gives a target one input, in a folder of its own, and judges what comes of it. */
export async function runInput(target: Target, bytes: Uint8Array, within: string): Promise<Outcome> {
  const folder = join(within, 'case')
  rmSync(folder, { recursive: true, force: true })
  mkdirSync(folder, { recursive: true })
  const begun = processorSeconds()
  let accepted = false
  let fault: string | undefined
  try {
    const result = await target.run(bytes, folder)
    accepted = true
    fault = resultFault(result)
  } catch (error) {
    fault = errorFault(error)
  }
  const seconds = processorSeconds() - begun
  if (seconds > limits.seconds) fault ??= `${seconds.toFixed(1)} s of processor time`
  rmSync(folder, { recursive: true, force: true })
  return { accepted, seconds, ...(fault === undefined ? {} : { fault }) }
}

/** Of this thread alone where Linux tells it, since tests run beside each other in one process; else of the process. */
function processorSeconds(): number {
  try {
    const stat = readFileSync('/proc/thread-self/stat', 'latin1')
    // proc(5): 14 utime and 15 stime, in ticks of 10 ms; after the name in brackets field 3 is the first.
    const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ')
    return (Number(fields[11]) + Number(fields[12])) / 100
  } catch {
    const { user, system } = process.cpuUsage()
    return (user + system) / 1e6
  }
}
