import { Command } from 'commander'
import { warningText } from '../errorText.ts'
import type { Run } from '../program.ts'

interface Options {
  readonly out: string
  readonly force?: boolean
}

export const applyCommand = (run: Run): Command =>
  new Command('apply')
    .summary('put a LUT on stills')
    .description(
      'Puts a LUT on stills, with tetrahedral interpolation. Code values are taken as\n' +
        'fractions of the full range, as the file holds them. PNG stays PNG, the rest\n' +
        'becomes TIFF.',
    )
    .argument('<lut>', 'LUT (.cube or .clf)')
    .argument('<frame...>', 'stills')
    .requiredOption('--out <folder>', 'folder for the pictures')
    .option('--force', 'replace files in the folder that isochip did not write')
    .action(async (lut: string, frames: string[], options: Options) => {
      const { applyLutToFrames } = await import('@isochip/show/node')
      const { files, warnings } = await applyLutToFrames(lut, frames, options)
      for (const warning of warnings) run.terminal.err(warningText(warning, run.terminal))
      run.terminal.out(files.map((file) => `${file}\n`).join(''))
    })
