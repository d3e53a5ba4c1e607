import type { FittedMatch, Interval } from '@isochip/core'
import { conditionText, deltaEText, gainText, lightText, percentText, termText } from '../digits.ts'
import type { CameraReport, ShowReport } from '../showReport.ts'
import { checkLevels } from '../signal/levels.ts'
import { cdlSentence, encodingText } from '../words.ts'
import { type Content, type Markup, markup } from './markup.ts'

const channels = ['R', 'G', 'B'] as const

/** What an expected figure rests on. */
const expectedBasis = {
  spectra: 'by the known spectra of the chart, as long as light is linear',
  'left-out': 'by the patches left out',
} as const

/** A figure with its 95 % interval, where there is one. */
function ranged(value: number, interval: Interval | undefined, text: (value: number) => string): string {
  return interval === undefined
    ? text(value)
    : `${text(value)} (${text(interval.low)} … ${text(interval.high)})`
}

function parameters({ model, diagnosis: { intervals } }: FittedMatch): Markup {
  const rows: [string, string[]][] = [
    ['lift', channels.map((_, i) => ranged(model.lift[i]!, intervals?.lift[i], lightText))],
    ['gain', channels.map((_, i) => ranged(model.gain[i]!, intervals?.gain[i], gainText))],
    ...channels.map((channel, i): [string, string[]] => [
      `matrix, ${channel} from`,
      channels.map((_, k) => ranged(model.matrix[i]![k]!, intervals?.matrix[i]?.[k], termText)),
    ]),
    ...(model.rootPolynomial ?? []).map((terms, i): [string, string[]] => [
      `root-polynomial terms, ${channels[i]}`,
      terms.map(termText),
    ]),
  ]
  return markup`<div class="wide" tabindex="0" role="region" aria-label="Parameters of the fit"><table class="numbers"><thead><tr><th scope="col">${model.kind}${channels.map((channel) => markup`<th scope="col">${channel}`)}<tbody>${rows.map(([name, cells]) => markup`<tr><th scope="row">${name}${cells.map((cell) => markup`<td>${cell}`)}`)}</table></div>`
}

function diagnosisFacts({ requested, diagnosis: d, summary, model }: FittedMatch): [string, Content][] {
  const noise = d.noiseAmplification
  return [
    ['model', requested === model.kind ? requested : `${requested}; chosen: ${model.kind}`],
    [
      'fit',
      `${d.objective}, ${d.iterations} steps, ${d.converged ? 'converged' : 'NOT converged'}: ${d.stopped}`,
    ],
    ['patches used', `${d.patchesUsed} for ${d.parameters} free parameters`],
    ['rank', `${d.rank} of ${d.columns}, condition ${conditionText(d.condition)}`],
    [
      'noise gain',
      `× ${channels.map((name, i) => `${name} ${gainText(noise.channels[i]!)}`).join(', ')}; luminance × ${gainText(noise.luminance)}`,
    ],
    ...(summary.leaveOneOut === undefined
      ? []
      : ([
          [
            'leave-one-out',
            `mean ${deltaEText(summary.leaveOneOut.mean)}, 95 % ${deltaEText(summary.leaveOneOut.p95)}, worst ${deltaEText(summary.leaveOneOut.max)} (${summary.leaveOneOut.worst})`,
          ],
        ] satisfies [string, Content][])),
    ...(d.expected === undefined
      ? []
      : ([
          [
            'other materials',
            `expected: mean ${deltaEText(d.expected.mean)}, 95 % ${deltaEText(d.expected.p95)}; ${expectedBasis[d.expected.basis]}`,
          ],
        ] satisfies [string, Content][])),
    ...(d.candidates === undefined
      ? []
      : ([
          [
            'models compared',
            d.candidates
              .map((k) => `${k.kind} ${deltaEText(k.leaveOneOut)} ± ${deltaEText(k.standardError)}`)
              .join('; '),
          ],
        ] satisfies [string, Content][])),
  ]
}

function levelsFact(camera: CameraReport, report: ShowReport): string {
  const { low, high, luma } = checkLevels(camera, report.working)
  return `R′G′B′ of the matched patches ${percentText(low)} % to ${percentText(high)} %, Y′ ${percentText(luma.low)} % to ${percentText(luma.high)} %; EBU R 103 prefers −5 % to 105 % and −1 % to 103 %`
}

/** The fit of one camera for those who want to see behind it, folded away; of the reference camera, what its LUT does. */
export function fitNumbers(camera: CameraReport, report: ShowReport): Markup {
  const { lut, match } = camera
  const facts: [string, Content][] = [
    ['camera encoding', encodingText(camera.sourceEncoding)],
    ['LUT output', encodingText(camera.outputEncoding)],
    ...(lut === undefined
      ? []
      : ([
          [
            'LUT',
            `${lut.files.join(', ')}${lut.size === undefined ? (lut.files.some((file) => file.endsWith('.clf')) ? '; the steps themselves, not sampled' : '') : `; ${lut.size} lattice points per axis`}${
              lut.interpolation === undefined
                ? ''
                : `; interpolation error: mean ΔE00 ${deltaEText(lut.interpolation.mean)}, worst ${deltaEText(lut.interpolation.max)}`
            }${
              lut.integers === undefined
                ? ''
                : `; in a LUT box that stores integers up to ${lut.integers.worst.toFixed(0)} 10-bit codes off`
            }`,
          ],
        ] satisfies [string, Content][])),
    ...(lut?.cdl === undefined ? [] : ([['CDL', cdlSentence(lut.cdl)]] satisfies [string, Content][])),
    ['levels', levelsFact(camera, report)],
    ...(match.kind === 'fitted' ? diagnosisFacts(match) : []),
  ]
  return markup`<details><summary>${match.kind === 'fitted' ? 'The fit in numbers' : 'Encodings and LUT'}</summary><dl class="set">${facts.map(([name, fact]) => markup`<dt>${name}</dt><dd>${fact}</dd>`)}</dl>${
    match.kind === 'fitted' &&
    markup`${parameters(match)}<p class="facts">In brackets: 95 % confidence intervals. y = matrix · (gain · (x + lift)), x: linear light of the camera.</p>`
  }</details>`
}
