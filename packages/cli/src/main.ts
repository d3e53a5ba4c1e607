import { IsochipError } from '@isochip/core'
import { CommanderError } from 'commander'
import { bugText, errorJson, errorText } from './errorText.ts'
import { createProgram } from './program.ts'
import { status } from './status.ts'
import { processTerminal, type Terminal } from './terminal.ts'

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
  try {
    const program = createProgram({ terminal, signal, cacheFolder, setStatus: (value) => (exit = value) })
    await program.parseAsync(argv, { from: 'user' })
    return exit
  } catch (cause) {
    // Commander has printed its message, or the help that was asked for.
    if (cause instanceof CommanderError) return cause.exitCode === 0 ? status.done : status.input
    if (argv.includes('--json')) terminal.out(errorJson(cause))
    if (!(cause instanceof IsochipError)) {
      terminal.err(bugText(cause, terminal))
      return status.bug
    }
    for (const one of causes(cause)) terminal.err(errorText(one, terminal))
    return cause.code === 'cancelled' ? status.cancelled : status.input
  }
}

/** Several errors that came as one. */
function causes(error: IsochipError): readonly IsochipError[] {
  const { cause } = error
  const all = cause instanceof AggregateError ? cause.errors.filter((one) => one instanceof IsochipError) : []
  return all.length > 0 ? all : [error]
}
