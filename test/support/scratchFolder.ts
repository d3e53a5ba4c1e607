import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll } from 'vitest'

const made: string[] = []

afterAll(() => {
  for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true })
})

/** A new folder that is taken away when the tests of the file are done. */
export function scratchFolder(name: string): string {
  const folder = mkdtempSync(join(tmpdir(), `isochip-${name}-`))
  made.push(folder)
  return folder
}
