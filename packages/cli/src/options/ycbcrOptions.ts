import type { YcbcrReading } from '@isochip/show'
import { Option } from 'commander'

/** How a clip's Y′CbCr is to be read where its tags do not say it, or wrongly: for commands that take clips. */
export interface YcbcrFlags {
  readonly ycbcrMatrix?: YcbcrReading['matrix']
  readonly ycbcrRange?: YcbcrReading['range']
}

export const ycbcrMatrixOption = (): Option =>
  new Option('--ycbcr-matrix <name>', 'clip: its Y′CbCr matrix, where the tag is missing or wrong').choices([
    'bt709',
    'bt2020',
    'bt601',
  ] satisfies YcbcrReading['matrix'][])

export const ycbcrRangeOption = (): Option =>
  new Option('--ycbcr-range <range>', 'clip: its Y′CbCr range, likewise').choices(['full', 'narrow'])
