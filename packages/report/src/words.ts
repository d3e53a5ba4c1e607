import type { CameraMatch, Encoding, OnSet, TargetSpec, Warning } from '@isochip/core'
import {
  degreesText,
  deltaEText,
  duvText,
  gainText,
  miredText,
  shareText,
  signedPercentText,
  stopsSizeText,
  termText,
} from './digits.ts'
import type { CameraReport, ShowReport, Tolerance } from './showReport.ts'
import { type Limit, type ShowVerdict, type Verdict, verdict } from './verdict.ts'

/** What limits a match: a short name, what it means, what helps. */
export const limitWords: Record<
  Limit,
  { readonly name: string; readonly means: string; readonly helps: string }
> = {
  noise: {
    name: 'sampling noise',
    means: 'the readings are noisy',
    helps: 'average more frames, or light the chart brighter',
  },
  clipping: {
    name: 'clipping',
    means: 'patches clip',
    helps: 'close the iris and shoot the chart again',
  },
  unevenness: {
    name: 'uneven light',
    means: 'the light is not even over the chart',
    helps: 'light the chart within a tenth of a stop, or let the unevenness be divided out',
  },
  curve: {
    name: 'curve',
    means: 'the declared encoding does not fit the grey scale',
    helps: 'check the gamma or log setting, knee and black stretch of the camera',
  },
  spectral: {
    name: 'spectral difference',
    means: 'the sensors see different spectra',
    helps: 'no matrix removes it; judge the colours that matter by eye',
  },
}

export const stateWords: Record<Verdict['state'], string> = {
  target: 'target',
  within: 'within tolerance',
  doubtful: 'doubtful',
  out: 'out of tolerance',
}

export const viewWords: Record<ShowReport['view'], string> = {
  scene: 'on scene light',
  display: 'as a BT.1886 display shows it',
}

export function targetWords(target: TargetSpec): string {
  if ('camera' in target) return `camera ${target.camera}`
  if ('reference' in target) return `the chart's values under ${target.reference}`
  return 'the consensus of all cameras'
}

export function toleranceWords({ mean, max }: Tolerance): string {
  return `mean ${deltaEText(mean)}, worst ${deltaEText(max)}`
}

export function encodingWords({ transfer, primaries, range }: Encoding['spec']): string {
  const curve =
    typeof transfer === 'string'
      ? transfer
      : 'power' in transfer
        ? `power ${gainText(transfer.power)}`
        : 'log' in transfer
          ? 'log curve by its parameters'
          : 'curve by table'
  const gamut = typeof primaries === 'string' ? primaries : 'own primaries'
  return curve === gamut ? `${curve}, ${range} range` : `${curve}, ${gamut}, ${range} range`
}

/** The whole show in one sentence. */
export function showSentence({ judged, out, doubtful, failed }: ShowVerdict): string {
  const be = (count: number) => (count === 1 ? 'is' : 'are')
  const missing = failed === 0 ? '' : `; ${failed} more could not be made`
  if (judged === 0)
    return failed === 0
      ? 'Nothing to judge: every camera is the target.'
      : `No match: ${failed} could not be made.`
  const matches = judged === 1 ? 'match' : 'matches'
  const unsure = doubtful.length
  if (out.length > 0) {
    const doubts = unsure === 0 ? '' : `, ${unsure} ${be(unsure)} doubtful`
    return `${out.length} of ${judged} ${matches} ${be(out.length)} out of tolerance${doubts}${missing}.`
  }
  const doubts =
    unsure === 0
      ? ''
      : judged === 1
        ? ' by its figures, but doubtful'
        : ` by their figures, but ${unsure} ${be(unsure)} doubtful`
  if (failed > 0) return `${judged} ${matches} ${be(judged)} within tolerance${doubts}${missing}.`
  return judged === 1
    ? `The match is within tolerance${doubts}.`
    : `All ${judged} matches are within tolerance${doubts}.`
}

/** A caution with the patch that it is about, where it does not name it itself. */
export function cautionText({ message, place }: Warning): string {
  const patch = place?.patch
  return patch === undefined || message.includes(`"${patch}"`) ? message : `patch "${patch}": ${message}`
}

/** Cautions that are not said as a doubt already. */
export function furtherCautions(
  { match: { warnings } }: CameraReport,
  { doubts }: Verdict,
): readonly Warning[] {
  return warnings.filter(
    ({ code, message }) => !doubts.some((doubt) => doubt.code === code && doubt.message === message),
  )
}

/** What was fitted and what was done to the readings before; undefined where nothing about it is worth a line. */
export function fitSentence({ requested, model, diagnosis: { evenness } }: CameraMatch): string | undefined {
  const chosen = requested === model.kind ? '' : `${model.kind}, chosen by ${requested}`
  const divided = evenness?.divided
    ? `uneven light, ${stopsSizeText(evenness.stops)} stop over the chart, divided out`
    : ''
  const said = [chosen, divided].filter((part) => part !== '').join('; ')
  return said === '' ? undefined : said
}

/** Why a camera is where it is, in one sentence without a full stop. */
export function limitSentence(camera: CameraReport, tolerance: Tolerance): string {
  const { state, limit } = verdict(camera, tolerance)
  if (state === 'target') return 'the others go to it'
  const { budget } = camera.match.diagnosis
  if (limit === undefined || budget === undefined) return 'not told apart'
  const words = limitWords[limit]
  return `${words.name}, ${shareText(budget[limit])}: ${words.means}; ${words.helps}`
}

/** One thing to set at the camera. */
export interface OnSetLine {
  readonly what: 'exposure' | 'white balance' | 'black balance' | 'matrix' | 'primaries'
  readonly say: string
  /** The same in fewer words, for a line of a table. */
  readonly brief: string
  /** Too small to bother with on set. */
  readonly idle: boolean
}

/**
 * Below these a correction is not worth walking to the camera: a twentieth of a stop, a hundredth of a gain, a
 * fifth of a percent of black, a hundredth of a matrix term, two degrees or four percent of a primary. Common
 * practice, no source.
 */
const idle = { stops: 0.05, gain: 0.01, black: 0.2, term: 0.01, hue: 2, saturation: 0.04 }

/** The match in the trade's words: what to set at the camera so that it would need no match. */
export function onSetLines(onSet: OnSet): OnSetLine[] {
  const { exposure, whiteBalance: wb, blackBalance: black, matrix, primaries } = onSet
  const terms = Object.entries(matrix) as [keyof OnSet['matrix'], number][]
  const turned = primaries.filter(
    (p) => Math.abs(p.hue) >= idle.hue || Math.abs(p.saturation - 1) >= idle.saturation,
  )
  const whiteIdle = Math.abs(wb.redOverGreen - 1) < idle.gain && Math.abs(wb.blueOverGreen - 1) < idle.gain
  const blackIdle = black.every((level) => Math.abs(level) < idle.black)
  const warmth =
    Math.abs(wb.mired) < 0.5 ? '' : `, ${wb.mired > 0 ? 'warmer' : 'cooler'}: ${miredText(wb.mired)} mired`
  const tint =
    Math.abs(wb.tint) < 0.05
      ? ''
      : `, ${wb.tint > 0 ? 'greener' : 'less green'}: ${duvText(wb.tint)} · 10⁻³ Duv`
  const stop = `${exposure > 0 ? 'open' : 'close'} ${stopsSizeText(Math.abs(exposure))} stop`
  const gains = `R/G × ${gainText(wb.redOverGreen)}, B/G × ${gainText(wb.blueOverGreen)}`
  const blacks = black.map((level, i) => `${'RGB'[i]} ${signedPercentText(level / 100)} %`).join(', ')
  const matrixTerms = terms.map(
    ([name, value]) => `${name.toUpperCase().split('').join('-')} ${termText(value)}`,
  )
  const turns = turned.map(({ name, hue, saturation }) => {
    const parts = [
      Math.abs(hue) >= idle.hue ? `hue ${degreesText(hue)}°` : '',
      Math.abs(saturation - 1) >= idle.saturation ? `saturation ${signedPercentText(saturation - 1)} %` : '',
    ]
    return `${name} ${parts.filter((part) => part !== '').join(' and ')}`
  })
  const line = (
    what: OnSetLine['what'],
    still: boolean,
    fine: string,
    say: string,
    brief = say,
  ): OnSetLine => (still ? { what, say: fine, brief: fine, idle: true } : { what, say, brief, idle: false })
  return [
    line('exposure', Math.abs(exposure) < idle.stops, 'right', stop),
    line('white balance', whiteIdle, 'right', `${gains}${warmth}${tint}`, gains),
    line('black balance', blackIdle, 'right', blacks),
    line(
      'matrix',
      terms.every(([, value]) => Math.abs(value) < idle.term),
      'none needed',
      matrixTerms.join(', '),
      'six terms',
    ),
    line(
      'primaries',
      turned.length === 0,
      'stand where they should',
      `the match turns ${turns.join('; ')}`,
      `${turned.length} of ${primaries.length} off`,
    ),
  ]
}

/** Only what is worth doing, as one sentence without a full stop. */
export function onSetSentence(onSet: OnSet): string {
  const worth = onSetLines(onSet).filter((line) => !line.idle && line.what !== 'primaries')
  return worth.length === 0
    ? 'nothing worth setting'
    : worth.map((line) => `${line.what}: ${line.say}`).join('; ')
}

/** The cautions that go with every report. */
export const cautions: readonly string[] = [
  'A LUT made from a chart in one light is for that light. New light, lens or filter: shoot the chart again.',
  'The figures are about the patches of the chart. A picture has colours that no chart has: look at it.',
  'Deliverables follow the broadcaster’s own limits. What is checked here are the levels of the matched patches against the preferred ranges of EBU R 103, −5 % to 105 % of R′, G′ and B′ and −1 % to 103 % of Y′ (version 3.0, from memory); nothing of the picture outside the chart.',
  'Where a figure and a trained eye disagree, the eye decides.',
]
