import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Asked, Told } from './fuzz.ts'
import { inputOf } from './inputOf.ts'
import { runInput } from './runInput.ts'
import { targetNamed } from './targets/targets.ts'

/*
 * Runs inputs in a process of its own, one after the other as it is asked, so that one that hangs or takes all memory
 * can be ended. Says before each that it begins: what comes before is no part of it.
 */

const within = mkdtempSync(join(tmpdir(), 'isochip-fuzz-'))
const tell = (told: Told) => process.send!(told)

process.on('message', (asked: Asked) => {
  void (async () => {
    const target = targetNamed(asked.target)
    const bytes = await inputOf(target, asked.seed, asked.index, within)
    tell({ kind: 'begun', megabytes: process.memoryUsage.rss() / 1e6, bytes: bytes.length })
    tell({ kind: 'ended', ...(await runInput(target, bytes, within)) })
  })()
})
for (const event of ['uncaughtException', 'unhandledRejection'] as const)
  process.on(event, (error: unknown) => {
    tell({
      kind: 'ended',
      accepted: false,
      seconds: 0,
      fault: `outside of any call: ${String((error as Error)?.stack ?? error).slice(0, 1500)}`,
    })
  })
tell({ kind: 'ready', folder: within })
