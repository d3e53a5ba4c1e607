import { cpSync, existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setTimeout } from 'node:timers/promises'

/** Of this run and all its threads. `tidyUp.ts` takes it away when the run is done. */
export const scratchRoot = join(tmpdir(), `isochip-tests-${process.pid}`)

const made: string[] = []

function newFolder(name: string): string {
  mkdirSync(scratchRoot, { recursive: true })
  return mkdtempSync(join(scratchRoot, `${name}-`))
}

/** A new folder that is taken away when the tests of the file are done. */
export function scratchFolder(name: string): string {
  const folder = newFolder(name)
  made.push(folder)
  return folder
}

/** Takes away the folders of a file of tests: `removeScratch.ts` sees to it. */
export function removeScratch(): void {
  for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true })
}

const kept = new Map<string, Promise<string>>()

/**
 * A new folder that starts as a copy of one that is made once in a run: for what many tests begin with and none is
 * about.
 */
export async function copiedFolder(
  name: string,
  fill: (folder: string) => Promise<unknown>,
): Promise<string> {
  const folder = scratchFolder(name)
  cpSync(await keptFolder(name, fill), folder, { recursive: true })
  return folder
}

/** The same to look at alone: nobody writes into it. */
export function keptFolder(name: string, fill: (folder: string) => Promise<unknown>): Promise<string> {
  const before = kept.get(name)
  if (before !== undefined) return before
  const filled = filledOnce(name, fill)
  kept.set(name, filled)
  return filled
}

/** By the first thread that asks for it; the others wait for that. */
async function filledOnce(name: string, fill: (folder: string) => Promise<unknown>): Promise<string> {
  const folder = join(scratchRoot, `kept-${name}`)
  const [whole, failed] = [`${folder}.whole`, `${folder}.failed`]
  mkdirSync(scratchRoot, { recursive: true })
  try {
    mkdirSync(folder)
  } catch {
    while (!existsSync(whole)) {
      if (existsSync(failed)) throw new Error(`another thread could not make ${folder}`)
      await setTimeout(20)
    }
    return folder
  }
  try {
    await fill(folder)
    writeFileSync(whole, '')
  } catch (cause) {
    writeFileSync(failed, '')
    throw cause
  }
  return folder
}
