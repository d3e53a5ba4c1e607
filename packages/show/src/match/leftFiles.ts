import type { Warning } from '@isochip/core'

/** More names than these help nobody. */
const mostNames = 3

/** A caution about files that an earlier run wrote and this one could not: who takes a LUT from the folder must know. */
export function leftFiles(files: readonly string[]): Warning | undefined {
  if (files.length === 0) return undefined
  const others = files.length > mostNames ? ` and ${files.length - mostNames} more` : ''
  const names = files.slice(0, mostNames).join(', ') + others
  return {
    code: 'files-of-earlier-run',
    message: `an earlier run wrote ${names}, and this one has nothing in their place: do not take them for results of this run`,
  }
}
