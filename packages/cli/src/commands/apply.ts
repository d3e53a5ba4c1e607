import { Command } from 'commander'
import { warningText } from '../errorText.ts'
import type { Run } from '../run.ts'

interface Options {
  readonly out: string
  readonly force?: boolean
}

export const applyCommand = (run: Run): Command =>
  new Command('apply')
    .summary('apply a LUT to stills')
    .description(
      'Applies a LUT to stills, with tetrahedral interpolation. Code values are taken\n' +
        'as fractions of the full range, as the file holds them. PNG stays PNG,\n' +
        'everything else becomes TIFF.',
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
