import { Command } from 'commander'
import { applyCommand } from './commands/apply.ts'
import { bakeCommand } from './commands/bake.ts'
import { chartsCommand } from './commands/charts.ts'
import { compareCommand } from './commands/compare.ts'
import { demoCommand } from './commands/demo.ts'
import { initCommand } from './commands/init.ts'
import { lineupCommand } from './commands/lineup.ts'
import { matchCommand } from './commands/match.ts'
import { pageCommand } from './commands/page.ts'
import { readCommand } from './commands/read.ts'
import { verifyCommand } from './commands/verify.ts'
import type { Run } from './run.ts'
import { version } from './version.ts'

const closing = `
Exit status: 0 done and within tolerance, 1 an internal error,
2 the input or the usage is wrong, 3 done but out of tolerance (with --strict
also: done but doubtful), 130 ended by Ctrl-C or SIGTERM.

A first look: isochip demo
A show of your own: isochip init FOLDER`

export function createProgram(run: Run): Command {
  const program = new Command('isochip')
    .description(
      'Makes several cameras look like one: fits lift, gain and matrix to frames of a ' +
        'test chart, writes LUTs, and says patch by patch how good the match is.',
    )
    .version(version, '--version', 'print the version')
    .helpOption('-h, --help', 'print this help')
    .helpCommand('help [command]', 'print the help of a command')
    .addHelpText('after', closing)
    .showSuggestionAfterError(true)
    .configureOutput({
      writeOut: (text) => run.terminal.out(text),
      writeErr: (text) => run.terminal.err(text),
      getOutHelpWidth: () => 80,
      getErrHelpWidth: () => 80,
    })
    .exitOverride()
  for (const make of [
    matchCommand,
    readCommand,
    verifyCommand,
    compareCommand,
    bakeCommand,
    applyCommand,
    chartsCommand,
    lineupCommand,
    pageCommand,
    initCommand,
    demoCommand,
  ]) {
    const command = make(run)
    command.copyInheritedSettings(program)
    command.helpOption('-h, --help', 'print this help')
    command.showHelpAfterError(`(for its options: isochip ${command.name()} --help)`)
    program.addCommand(command)
  }
  return program
}
