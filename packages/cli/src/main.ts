import { type IsochipError, isIsochipError } from '@isochip/core'
import { CommanderError } from 'commander'
import { flagsFor } from './options/flagsFor.ts'
import { createProgram } from './program.ts'
import { status } from './status.ts'
import { processTerminal, type Terminal } from './terminal.ts'
import { bugText, errorJson, errorText } from './text/errorText.ts'

/**
 * Runs the command.
 *
 * @param argv the words after the command's name
 * @param terminal default: that of the process
 * @param signal ends the work
 * @param cacheFolder where readings are kept unless a command is told otherwise; default nowhere
 * @returns exit status; never throws
 */
export async function main(
  argv: readonly string[],
  terminal: Terminal = processTerminal(),
  signal?: AbortSignal,
  cacheFolder?: string,
): Promise<number> {
  let exit: number = status.done
  const program = createProgram({ terminal, signal, cacheFolder, setStatus: (value) => (exit = value) })
  try {
    await program.parseAsync(argv, { from: 'user' })
    return exit
  } catch (cause) {
    // Commander has printed its message, or the help that was asked for.
    if (cause instanceof CommanderError) return cause.exitCode === 0 ? status.done : status.input
    if (argv.includes('--json')) terminal.out(errorJson(cause))
    if (!isIsochipError(cause)) {
      terminal.err(bugText(cause, terminal))
      return status.bug
    }
    const command = program.commands.find((one) => one.name() === argv[0])
    for (const one of causes(cause)) terminal.err(errorText(one, terminal, flagsFor(one.code, command)))
    return cause.code === 'cancelled' ? status.cancelled : status.input
  }
}

/** Several errors that came as one. */
function causes(error: IsochipError): readonly IsochipError[] {
  const { cause } = error
  const all = cause instanceof AggregateError ? cause.errors.filter((one) => isIsochipError(one)) : []
  return all.length > 0 ? all : [error]
}
