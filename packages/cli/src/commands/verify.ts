import { IsochipError } from '@isochip/core'
import type { Verification, VerificationFile } from '@isochip/show/node'
import { Command } from 'commander'
import { faultOf } from '../faultOf.ts'
import { type ReadFlags, readOptions, withReadFlags } from '../options/readOptions.ts'
import { strictOption } from '../options/strictOption.ts'
import { Progress } from '../progress.ts'
import type { Run } from '../run.ts'
import { status } from '../status.ts'
import { errorText, warningText } from '../text/errorText.ts'
import { verificationText } from '../text/verificationText.ts'
import { verifyFiles } from '../verifyFiles.ts'

interface Options extends ReadFlags {
  readonly luts?: string
  readonly files?: string
  readonly json?: boolean
  readonly strict?: boolean
}

const anyDoubt = ({ setups }: Pick<Verification, 'setups'>) =>
  setups.some(({ cameras }) => cameras.some(({ doubts }) => doubts.length > 0))

export const verifyCommand = (run: Run): Command =>
  withReadFlags(
    new Command('verify')
      .summary('check existing LUTs with new chart frames: do they still hold?')
      .description(
        'Puts new chart frames through LUTs made earlier, by isochip or not, and prints ' +
          'how far off the target the cameras are now, and what has changed.',
      )
      .argument('[show]', 'show file with the new frames')
      .option(
        '--luts <folder>',
        'folder of the LUTs: SETUP/CAMERA.cube or .clf, or CAMERA.cube for all setups',
      )
      .option('--files <folder>', 'only check that the files of a match are whole and all from one run')
      .option('--json', 'print one JSON document instead of the table')
      .addOption(strictOption())
      .action(async (show: string | undefined, options: Options) => {
        if (options.files !== undefined) return await verifyFiles(run, options.files, options.json ?? false)
        if (show === undefined || options.luts === undefined)
          throw new IsochipError('usage', 'a show file and the folder of the LUTs are needed', {
            hint: 'isochip verify SHOW --luts DIR; or isochip verify --files DIR for the files alone',
          })
        const { verifyShow } = await import('@isochip/show/node')
        const { terminal } = run
        const progress = new Progress(terminal)
        const { failures, ...found } = await verifyShow(show, {
          luts: options.luts,
          ...readOptions(run, options, progress),
        }).finally(() => progress.end())
        if (options.json) {
          const document: VerificationFile = {
            isochip: 'verify/1',
            ...found,
            failures: failures.map(faultOf),
          }
          terminal.out(`${JSON.stringify(document, null, 2)}\n`)
        } else terminal.out(verificationText({ ...found, failures }))
        for (const { warnings } of found.setups.flatMap(({ cameras }) => cameras))
          for (const warning of warnings) terminal.err(warningText(warning, terminal))
        for (const failure of failures) terminal.err(errorText(failure, terminal))
        if (failures.length > 0) run.setStatus(status.input)
        else if (!found.within || (options.strict && anyDoubt(found))) run.setStatus(status.outOfTolerance)
      }),
  )
