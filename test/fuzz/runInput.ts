import { mkdirSync, rmSync } from 'node:fs'
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
  const begun = process.cpuUsage()
  let accepted = false
  let fault: string | undefined
  try {
    const result = await target.run(bytes, folder)
    accepted = true
    fault = resultFault(result)
  } catch (error) {
    fault = errorFault(error)
  }
  const { user, system } = process.cpuUsage(begun)
  const seconds = (user + system) / 1e6
  if (seconds > limits.seconds) fault ??= `${seconds.toFixed(1)} s of processor time`
  rmSync(folder, { recursive: true, force: true })
  return { accepted, seconds, ...(fault === undefined ? {} : { fault }) }
}
