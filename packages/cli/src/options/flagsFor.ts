import type { ErrorCode } from '@isochip/core'
import type { Command } from 'commander'

/** Options by which a person may get past an error. Libraries state what is wrong; how this command is told is ours. */
const helpful: Partial<Record<ErrorCode, readonly string[]>> = {
  'output-exists': ['--out', '--force'],
  'output-unwritable': ['--out'],
  'output-busy': ['--out'],
  'chart-not-found': ['--corners', '--seconds', '--frame'],
  'chart-invalid': ['--id'],
  'match-invalid': ['--then'],
}

/** Those of them that the command has. */
export function flagsFor(code: ErrorCode, command: Command | undefined): readonly string[] {
  const known = command?.options.map(({ long }) => long) ?? []
  return (helpful[code] ?? []).filter((flag) => known.includes(flag))
}
