import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'

const packages = new URL('../../', import.meta.url)
/** What a match is made by. */
const parts = ['core', 'export', 'frames', 'report', 'show']

/** Checksum of the sources that a match depends on: the same sources, the same results. */
export function sourcesDigest(): string {
  const hash = createHash('sha256')
  for (const part of parts) {
    const folder = new URL(`${part}/src/`, packages)
    const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
      name.endsWith('.ts'),
    )
    for (const name of files.sort())
      hash.update(`${part}/${name}\n`).update(readFileSync(new URL(name, folder)))
  }
  return hash.digest('hex')
}
