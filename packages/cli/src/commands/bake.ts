import { Command, InvalidArgumentError, Option } from 'commander'
import type { Run } from '../run.ts'
import { warningText } from '../text/errorText.ts'

interface Options {
  readonly size?: number
  readonly format: 'cube' | 'clf' | 'clf-live'
  readonly nodes: 'float' | 'bounded'
  readonly nodeBits?: number
  readonly then?: string
  readonly out?: string
  readonly force?: boolean
}

function parseSize(text: string): number {
  const size = Number(text)
  if (!Number.isInteger(size) || size < 2 || size > 256)
    throw new InvalidArgumentError('Expected a whole number from 2 to 256.')
  return size
}

function parseBits(text: string): number {
  const bits = Number(text)
  if (!Number.isInteger(bits) || bits < 8 || bits > 16)
    throw new InvalidArgumentError('Expected a whole number from 8 to 16.')
  return bits
}

export const bakeCommand = (run: Run): Command =>
  new Command('bake')
    .summary('bake a match file to a LUT again: another size, a look after it')
    .description('Bakes a match file to a LUT again: at another size, or with a look after it.')
    .argument('<match>', 'match file (.match.json)')
    .option('--size <points>', 'lattice points per axis, 2 to 256 (default: 33)', parseSize)
    .addOption(
      new Option('--format <format>', 'format of the LUT')
        .choices(['cube', 'clf', 'clf-live'])
        .default('cube'),
    )
    .addOption(
      new Option('--nodes <kind>', 'bounded: lattice points within 0 to 1, for LUT boxes that store integers')
        .choices(['float', 'bounded'])
        .default('float'),
    )
    .option('--node-bits <bits>', 'with bounded: round them to steps of this many bits, 8 to 16', parseBits)
    .option('--then <look>', 'LUT that goes after the match, in its output encoding')
    .option('--out <file>', 'file to write (default: beside the match file)')
    .option('--force', 'replace the file even if isochip did not write it')
    .action(async (match: string, options: Options) => {
      const { bakeMatchFile } = await import('@isochip/show/node')
      const { file, warnings } = await bakeMatchFile(match, options)
      run.terminal.out(`${file}\n`)
      for (const warning of warnings) run.terminal.err(warningText(warning, run.terminal))
    })
