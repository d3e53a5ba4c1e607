import type { Encoding, FittedMatch, TargetSpec, Warning } from '@isochip/core'
import { deltaEText, percentText, shareText, stopsSizeText } from './digits.ts'
import type { CameraReport, FittedCamera, LutReport, ShowReport, Tolerance } from './showReport.ts'
import type { LevelsCheck } from './signal/levels.ts'
import { type Limit, type ShowVerdict, type Verdict, verdict } from './verdict.ts'

/** What limits a match: its name, the same for a cell, what it means, what helps. */
export const limitWords: Record<
  Limit,
  { readonly name: string; readonly short: string; readonly means: string; readonly helps: string }
> = {
  noise: {
    name: 'sampling noise',
    short: 'noise',
    means: 'the readings are noisy',
    helps: 'average more frames, or put more light on the chart',
  },
  clipping: {
    name: 'clipping',
    short: 'clipping',
    means: 'patches clip',
    helps: 'close the iris and shoot the chart again',
  },
  unevenness: {
    name: 'uneven light',
    short: 'uneven light',
    means: 'the light is not even across the chart',
    helps: 'light the chart evenly, within a tenth of a stop, or flat-field it',
  },
  curve: {
    name: 'curve',
    short: 'curve',
    means: 'the declared encoding does not fit the grey scale',
    helps: 'check the gamma or log setting, knee and black stretch of the camera',
  },
  foreign: {
    name: 'foreign patches',
    short: 'foreign patches',
    means: 'patches are not what the chart shows there',
    helps:
      'look for glare, shadow or dirt on the outliers, or two patches exchanged, and shoot the chart again',
  },
  undetermined: {
    name: 'cause undetermined',
    short: 'undetermined',
    means: 'no known pattern',
    helps: 'shoot the chart again: what stays the same is the cameras’',
  },
  spectral: {
    name: 'sensor metamerism',
    short: 'metamerism',
    means: 'the sensors see different spectra',
    helps: 'no matrix removes it; judge the colours that matter by eye',
  },
}

export const stateWords: Record<Verdict['state'], string> = {
  reference: 'reference camera',
  within: 'within tolerance',
  doubtful: 'doubtful',
  out: 'out of tolerance',
}

export const viewWords: Record<ShowReport['view'], string> = {
  scene: 'on scene light',
  display: 'as a BT.1886 display shows it',
}

/** What the cameras are matched to. */
export function targetText(target: TargetSpec): string {
  if ('camera' in target) return `camera ${target.camera}`
  return 'reference' in target
    ? `the values of the chart under ${target.reference}`
    : 'the mean of all cameras'
}

export function toleranceWords({ mean, max }: Tolerance): string {
  return `mean ${deltaEText(mean)}, worst ${deltaEText(max)}`
}

/**
 * An encoding on one line.
 *
 * @param curveMeasured its table was measured on the chart, not given by a file
 */
export function encodingText(
  { transfer, primaries, range }: Encoding['spec'],
  curveMeasured = false,
): string {
  const curve =
    typeof transfer === 'string'
      ? transfer
      : 'power' in transfer
        ? `power ${transfer.power}`
        : 'log' in transfer
          ? 'log curve'
          : curveMeasured
            ? 'curve measured on the chart'
            : 'curve by a table'
  return `${curve}, primaries ${typeof primaries === 'string' ? primaries : 'by chromaticities'}, ${range} range`
}

/** The whole show in one sentence; of what is out and in doubt it takes the numbers alone. */
export function showSentence({
  judged,
  out,
  doubtful,
  failed,
}: Pick<ShowVerdict, 'judged' | 'failed'> & Record<'out' | 'doubtful', { readonly length: number }>): string {
  const be = (count: number) => (count === 1 ? 'is' : 'are')
  const missing = failed === 0 ? '' : `; ${failed} more could not be made`
  if (judged === 0)
    return failed === 0
      ? 'Nothing to judge: there is only the reference camera.'
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
    : `${judged === 2 ? 'Both' : `All ${judged}`} matches are within tolerance${doubts}.`
}

/** What to do now, for somebody who reads no more than this. */
export function nextSentence({ judged, out, doubtful, failed }: ShowVerdict): string {
  if (judged === 0) return ''
  const ready = judged - out.length - doubtful.length
  return [
    out.length > 0 && 'Do not use a LUT that is out of tolerance: its line says what to do next.',
    doubtful.length > 0 &&
      'A LUT in doubt may look right on the chart and wrong on everything else: check what is in doubt first.',
    ready > 0 &&
      `${ready < judged ? 'The others' : judged === 1 ? 'The LUT' : 'The LUTs'} can be used: look at skin and at the colours that matter to the show first.`,
    failed > 0 && 'Why the rest could not be made stands below.',
  ]
    .filter((sentence) => sentence !== false)
    .join(' ')
}

/** What one camera's verdict asks for, without a full stop; undefined for the reference camera. */
export function nextStep({ state, doubts, limit }: Verdict): string | undefined {
  switch (state) {
    case 'reference':
      return undefined
    case 'within':
      return 'use the LUT'
    case 'doubtful':
      return `check first: ${doubts.map(({ message }) => message).join('; ')}`
    case 'out': {
      if (limit === undefined) return 'do not use the LUT; look at the patches that are furthest off'
      const { means, helps } = limitWords[limit]
      return limit === 'spectral'
        ? `do not use the LUT unless the eye accepts it: ${means}, and no matrix removes it`
        : `do not use the LUT yet: ${means}; ${helps}, then match again`
    }
  }
}

/** The levels of the matched patches against EBU R 103, in few words. */
export function levelsText({ low, high, outside }: LevelsCheck): string {
  const span = `${percentText(low)} … ${percentText(high)} %`
  if (outside.length === 0) return `legal, ${span}`
  return `${outside.length} ${outside.length === 1 ? 'patch' : 'patches'} not legal, ${span}`
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
export function fitSentence({
  requested,
  model,
  curve,
  diagnosis: { evenness },
}: FittedMatch): string | undefined {
  const chosen = requested === model.kind ? '' : `${model.kind}, chosen by ${requested}`
  const divided = evenness?.divided
    ? `uneven light, ${stopsSizeText(evenness.stops)} stop across the chart, flat-fielded`
    : ''
  const corrected =
    curve === undefined
      ? ''
      : curve.kind === 'measured'
        ? 'curve measured on the grey scale and corrected along with the match'
        : 'declared curve corrected along with the match'
  const said = [chosen, corrected, divided].filter((part) => part !== '').join('; ')
  return said === '' ? undefined : said
}

/** Why a camera is where it is, in one sentence without a full stop. */
export function limitSentence(camera: FittedCamera, tolerance: Tolerance): string {
  const { limit } = verdict(camera, tolerance)
  const { budget } = camera.match.diagnosis
  if (limit === undefined || budget === undefined) return 'cause undetermined'
  const words = limitWords[limit]
  const names = [words.name, ...(budget.or ?? []).map((part) => limitWords[part].name)].join(' or ')
  return `${names}, ${shareText(budget[limit])}: ${words.means}; ${words.helps}`
}

/** The cautions that go with every report. */
export const cautions: readonly string[] = [
  'A LUT made from a chart in one light is for that light. New light, lens or filter: shoot the chart again.',
  'The figures are about the patches of the chart. A picture has colours that no chart has: look at it.',
  'Deliverables follow the broadcaster’s own limits. Checked here are the levels of the matched patches, against the preferred ranges of EBU R 103: −5 % to 105 % of R′, G′ and B′, −1 % to 103 % of Y′. Nothing outside the chart is checked.',
  'Where a figure and a trained eye disagree, the eye decides.',
]

/** How far an ASC CDL is off the match that it stands for. */
export const cdlSentence = ({ points, colours }: NonNullable<LutReport['cdl']>): string =>
  `off the match by mean ΔE00 ${deltaEText(points.mean)}, worst ${deltaEText(points.max)} over the chart; ` +
  `${deltaEText(colours.mean)} and ${deltaEText(colours.max)} over all colours that the output holds`
