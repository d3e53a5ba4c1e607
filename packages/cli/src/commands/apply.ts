import type { ClipCodec } from '@isochip/frames/node'
import { Command, Option } from 'commander'
import { type YcbcrFlags, ycbcrMatrixOption, ycbcrRangeOption } from '../options/ycbcrOptions.ts'
import type { Run } from '../run.ts'
import type { Terminal } from '../terminal.ts'
import { warningText } from '../text/errorText.ts'
import { liveLine } from '../text/liveLine.ts'

interface Options extends YcbcrFlags {
  readonly out: string
  readonly codec: ClipCodec
  readonly force?: boolean
}

const codecs: readonly ClipCodec[] = [
  'prores-422',
  'prores-422-hq',
  'prores-4444',
  'dnxhr-hqx',
  'dnxhr-444',
  'ffv1',
]

export const applyCommand = (run: Run): Command =>
  new Command('apply')
    .summary('apply a LUT to stills and clips')
    .description(
      'Applies a LUT to stills and clips, with tetrahedral interpolation. Code values of ' +
        'stills are taken as fractions of the full range, as the file holds them; for ' +
        'Y′CbCr clips the range is converted first. PNG stays PNG, other stills become TIFF. ' +
        'Clips keep their colour tags and sound, and take a .cube of one 3D table.',
    )
    .argument('<lut>', 'LUT (.cube or .clf)')
    .argument('<frame...>', 'stills and clips')
    .requiredOption('--out <folder>', 'folder for the pictures')
    .addOption(new Option('--codec <name>', 'codec of clips').choices(codecs).default('prores-422-hq'))
    .addOption(ycbcrMatrixOption())
    .addOption(ycbcrRangeOption())
    .option('--force', 'replace files in the folder that isochip did not write')
    .action(async (lut: string, frames: string[], options: Options) => {
      const { applyLutToFrames } = await import('@isochip/show/node')
      const { terminal, signal } = run
      const { ycbcrMatrix: matrix, ycbcrRange: range, ...rest } = options
      const progress = framesLine(terminal)
      const { files, warnings } = await applyLutToFrames(lut, frames, {
        ...rest,
        ycbcr: { ...(matrix === undefined ? {} : { matrix }), ...(range === undefined ? {} : { range }) },
        onFrames: progress.on,
        ...(signal === undefined ? {} : { signal }),
      }).finally(progress.end)
      for (const warning of warnings) terminal.err(warningText(warning, terminal))
      terminal.out(files.map((file) => `${file}\n`).join(''))
    })

/** How far a clip is. */
function framesLine(terminal: Terminal) {
  const { draw, end } = liveLine(terminal)
  return {
    on: (file: string, done: number, all: number | undefined) => {
      const share = all === undefined ? '' : ` of ${all}, ${Math.min(100, Math.floor((100 * done) / all))} %`
      draw(`frame ${done}${share}  ${file}`)
    },
    end,
  }
}
