import { version } from '../version.ts'

/** The list of a run's files with the SHA-256 of each, written last. */
export const checksumsFile = 'checksums.sha256'

/*
 * # Written by isochip 0.1.0, after all other files of the run. Check with: sha256sum -c checksums.sha256
 * 0d1f…  day/cross.cube
 * 77a2…  report.html
 *
 * As coreutils' sha256sum writes and checks it: two spaces before the path, # begins a comment. Paths are those of
 * names that a show allows, so that none needs an escape.
 */

export function checksumsText(sums: ReadonlyMap<string, string>): string {
  const lines = [...sums].map(([file, sum]) => `${sum}  ${file}\n`)
  return `# Written by isochip ${version}, after all other files of the run. Check with: sha256sum -c ${checksumsFile}\n${lines.join('')}`
}

/** `undefined` for a text that is no such list, or was cut short. */
export function parseChecksums(text: string): ReadonlyMap<string, string> | undefined {
  if (!text.startsWith('# Written by isochip ') || !text.endsWith('\n')) return undefined
  const sums = new Map<string, string>()
  for (const line of text.split('\n').slice(1, -1)) {
    const [, sum, file] = /^([0-9a-f]{64}) {2}([^/].*)$/.exec(line) ?? []
    if (sum === undefined || file === undefined || file.split('/').includes('..')) return undefined
    sums.set(file, sum)
  }
  return sums
}
