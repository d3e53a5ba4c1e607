import { readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'

/** Every file below a folder, relative to it, sorted. */
export function filesBelow(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => statSync(join(folder, name)).isFile())
    .map((name) => name.replaceAll('\\', '/'))
    .sort()
}
