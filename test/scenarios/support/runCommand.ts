import { readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { main } from '../../../packages/cli/src/main.ts'

export interface Ran {
  readonly status: number
  readonly out: string
  readonly err: string
}

/** Runs the command in this process, as from a pipe: no colour, no progress line. */
export async function runCommand(...argv: string[]): Promise<Ran> {
  let out = ''
  let err = ''
  const status = await main(argv, {
    out: (text) => {
      out += text
    },
    err: (text) => {
      err += text
    },
    colour: false,
    errColour: false,
    live: false,
    width: 80,
  })
  return { status, out, err }
}

/** Every file below a folder, relative to it, sorted. */
export function filesBelow(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => statSync(join(folder, name)).isFile())
    .map((name) => name.replaceAll('\\', '/'))
    .sort()
}
