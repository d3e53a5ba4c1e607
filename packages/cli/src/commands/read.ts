import { IsochipError, type Range } from '@isochip/core'
import type { YcbcrReading } from '@isochip/show'
import { Command, Option } from 'commander'
import { warningText } from '../errorText.ts'
import { parseCorners } from '../parseCorners.ts'
import { parseSeconds, parseWhole } from '../parseNumber.ts'
import { roundedReadings } from '../roundedReadings.ts'
import type { Run } from '../run.ts'

interface Options {
  readonly chart: string
  readonly corners?: readonly (readonly [number, number])[]
  readonly range: Range
  readonly seconds?: number
  readonly frame?: number
  readonly count?: number
  readonly ycbcrMatrix?: YcbcrReading['matrix']
  readonly ycbcrRange?: Range
  readonly picture?: string
  readonly json?: boolean
  readonly force?: boolean
}

export const readCommand = (run: Run): Command =>
  new Command('read')
    .summary('find and sample a chart, print its readings')
    .description(
      'Finds and samples a chart in frames of one setup, which are averaged, and prints\n' +
        'its readings as CSV: code values as fractions of the nominal range.',
    )
    .argument('<frame...>', 'frames of the chart')
    .requiredOption('--chart <id>', 'built-in chart, or path of a chart file')
    .option(
      '--corners <points>',
      'outer corners of the patch grid in pixels, clockwise from\nthe first patch: "402,211 1490,236 1478,960 396,930"\n(default: find the chart)',
      parseCorners,
    )
    .addOption(
      new Option('--range <range>', 'range of the code values').choices(['full', 'narrow']).default('full'),
    )
    .option('--seconds <time>', 'movie: time of the chart, in seconds', parseSeconds)
    .option('--frame <number>', 'movie: the same as a frame number, from 0', parseWhole)
    .option('--count <number>', 'movie: consecutive frames to average', parseWhole)
    .addOption(
      new Option(
        '--ycbcr-matrix <name>',
        'clip: its Y′CbCr matrix, where the tag is\nmissing or wrong',
      ).choices(['bt709', 'bt2020', 'bt601'] satisfies YcbcrReading['matrix'][]),
    )
    .addOption(
      new Option('--ycbcr-range <range>', 'clip: its Y′CbCr range, likewise').choices(['full', 'narrow']),
    )
    .option('--picture <file>', 'write the frame with the sampled areas drawn on it (PNG)')
    .option('--json', 'print JSON instead of CSV')
    .option('--force', 'replace the picture even if isochip did not write it')
    .action(async (frames: string[], options: Options) => {
      const { readCharts, readChartFile } = await import('@isochip/show/node')
      const { readingsToCsv } = await import('@isochip/frames')
      const chart = await readChartFile(options.chart)
      const { seconds, frame, count } = options
      if (seconds !== undefined && frame !== undefined)
        throw new IsochipError('usage', 'both --seconds and --frame are given', {
          hint: 'give one of them',
        })
      if (count !== undefined && !(count >= 1 && count <= 64))
        throw new IsochipError('usage', `--count is ${count}, expected 1 to 64`, {
          hint: 'a dozen frames take most of the noise out',
        })
      const at = {
        ...(seconds === undefined ? {} : { seconds }),
        ...(frame === undefined ? {} : { frame }),
        ...(count === undefined ? {} : { count }),
      }
      const { ycbcrMatrix: matrix, ycbcrRange } = options
      const ycbcr = {
        ...(matrix === undefined ? {} : { matrix }),
        ...(ycbcrRange === undefined ? {} : { range: ycbcrRange }),
      }
      const { readings, corners, warnings } = await readCharts(frames, {
        ...options,
        chart,
        ...(Object.keys(at).length === 0 ? {} : { at }),
        ...(Object.keys(ycbcr).length === 0 ? {} : { ycbcr }),
        ...(run.signal === undefined ? {} : { signal: run.signal }),
      })
      if (options.json) {
        const document = { isochip: 'readings/1', chart: chart.id, frames, corners, ...readings, warnings }
        run.terminal.out(`${JSON.stringify(document, null, 2)}\n`)
      } else run.terminal.out(readingsToCsv(roundedReadings(readings)))
      for (const warning of warnings) run.terminal.err(warningText(warning, run.terminal))
    })
