import { given, IsochipError, type Range, type TransferName, transferNames } from '@isochip/core'
import type { readingsFile, Shape } from '@isochip/core/shapes'
import { Command, Option } from 'commander'
import { parseCorners } from '../options/parseCorners.ts'
import { parseSeconds, parseWhole } from '../options/parseNumber.ts'
import { type YcbcrFlags, ycbcrMatrixOption, ycbcrRangeOption } from '../options/ycbcrOptions.ts'
import type { Run } from '../run.ts'
import { warningText } from '../text/errorText.ts'
import { liveLine } from '../text/liveLine.ts'
import { cautionsByChart, readingDocument, readingText } from '../text/readingText.ts'
import { roundedReadings } from '../text/roundedReadings.ts'

interface Options extends YcbcrFlags {
  readonly chart: string
  readonly corners?: readonly (readonly [number, number])[]
  readonly range: Range
  readonly seconds?: number
  readonly frame?: number
  readonly count?: number
  readonly encoding?: TransferName
  readonly all?: boolean
  readonly picture?: string
  readonly json?: boolean
  readonly force?: boolean
}

export const readCommand = (run: Run): Command =>
  new Command('read')
    .summary('find and sample a chart, print its readings')
    .description(
      'Finds and samples a chart in frames of one setup, which are averaged, and prints ' +
        'its readings as CSV: code values as fractions of the nominal range. How sure it ' +
        'is and how well the chart was shot goes to standard error, or with --json into the document.',
    )
    .argument('<frame...>', 'frames of the chart, or folders of them')
    .requiredOption('--chart <id>', 'built-in chart, or path of a chart file')
    .option(
      '--corners <points>',
      'outer corners of the patch grid in pixels, clockwise from the first patch: "402,211 1490,236 1478,960 396,930" (default: find the chart)',
      parseCorners,
    )
    .addOption(
      new Option('--range <range>', 'range of the code values').choices(['full', 'narrow']).default('full'),
    )
    .addOption(
      new Option(
        '--encoding <name>',
        'curve of the camera: levels are those of the mean light then, and evenness, glare and flare are judged',
      ).choices(transferNames),
    )
    .option('--all', 'read every chart in the frame, not only the largest')
    .option('--seconds <time>', 'movie: time of the chart, in seconds', parseSeconds)
    .option('--frame <number>', 'movie: the same as a frame number, from 0', parseWhole)
    .option('--count <number>', 'movie: consecutive frames to average', parseWhole)
    .addOption(ycbcrMatrixOption())
    .addOption(ycbcrRangeOption())
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
      const at = given({ seconds, frame, count })
      const { ycbcrMatrix: matrix, ycbcrRange } = options
      const ycbcr = given({ matrix, range: ycbcrRange })
      const { encoding: transfer, all = false } = options
      const line = liveLine(run.terminal)
      const found = await readCharts(frames, {
        ...options,
        onStep: ({ step, done, all, file }) =>
          line.draw(
            step === 'opening'
              ? `opening ${file}, ${done + 1} of ${all}`
              : `looking for the chart, look ${done + 1} of ${all} at most`,
          ),
        chart,
        ...given({ transfer }),
        ...(Object.keys(at).length === 0 ? {} : { at }),
        ...(Object.keys(ycbcr).length === 0 ? {} : { ycbcr }),
        ...given({ signal: run.signal }),
      }).finally(line.end)
      const { terminal } = run
      const { warnings, others, ...first } = found
      if (options.json) {
        const document: Shape<typeof readingsFile> = {
          isochip: 'readings/1',
          chart: chart.id,
          frames,
          ...readingDocument(first),
          ...(all
            ? { others: others.map((one) => ({ ...readingDocument(one), warnings: one.warnings })) }
            : {}),
          warnings,
        }
        terminal.out(`${JSON.stringify(document, null, 2)}\n`)
      } else {
        terminal.out(readingsToCsv(roundedReadings(first.readings)))
        for (const one of others) terminal.out(`\n${readingsToCsv(roundedReadings(one.readings))}`)
        for (const one of [first, ...others]) terminal.err(readingText(chart, one))
      }
      for (const warning of cautionsByChart(chart, found)) terminal.err(warningText(warning, terminal))
    })
