import {
  type Chart,
  type Encoding,
  IsochipError,
  isIsochipError,
  matchCamera,
  type Readings,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import type { Planes } from '../form/planes.ts'
import { codesOf, decodingOf, lumaOf, type SignalForm } from '../form/signalForm.ts'

/** What a chart says of a signal. */
export interface ChartVerdict {
  /** What explains the chart best; what is not told stays as it was taken. */
  readonly form: SignalForm
  /** Is the matrix told? Of R′G′B′ it says nothing. */
  readonly matrix: boolean
  readonly range: boolean
  /** Mean ΔE00 that a match to the chart's own values leaves by this form, and by the best one of another form. */
  readonly left: number
  readonly next: number
}

/** One is told from the other where the other leaves so many times as much … */
const clearly = 1.3
/** … and it leaves no more than this itself: beyond, something else is wrong, such as the curve or the light. */
const most = 2
/** Patches that carry a judgement. */
const fewest = 18

/**
 * Matrix and range of a signal by a chart: the wrong ones bend its colours and its grey scale so that no lift, gain and matrix of a
 * camera brings them to the chart's own values. BT.709 and BT.2020 are too alike for that and are not told from each other.
 *
 * @param readings as the form makes them, levels as fractions of the nominal range
 * @throws IsochipError where a chart has no values of its own, or the readings carry no match
 */
export function formByChart(
  readings: Readings,
  form: SignalForm,
  { kind, chart, encoding }: { kind: Planes['kind']; chart: Chart; encoding: Encoding },
): ChartVerdict {
  const working = resolvePrimaries('bt709')
  const target = targetFromReference(chart, 'D65', working)
  const likely = form.matrix === 'bt601' ? 'bt709' : form.matrix
  const matrices = kind === 'rgb' ? [form.matrix] : [likely, 'bt601' as const]
  const tried = (['narrow', 'full'] as const)
    .flatMap((range) => matrices.map((matrix): SignalForm => ({ matrix, range })))
    .map((as) => {
      const patches = readings.patches.map((patch) => ({ ...patch, rgb: takenAs(patch.rgb, form, as, kind) }))
      try {
        const input = { chart, readings: { ...readings, patches }, encoding, target, working }
        const { summary, patches: fitted } = matchCamera(input)
        const used = fitted.filter(({ excluded }) => excluded === undefined).length
        return { as, left: used < fewest ? Number.POSITIVE_INFINITY : summary.after.mean }
      } catch (cause) {
        // By a wrong form patches may clip or fall below black until no match is left.
        if (!isIsochipError(cause)) throw cause
        return { as, left: Number.POSITIVE_INFINITY }
      }
    })
    .sort((a, b) => a.left - b.left)
  const [best] = tried as [(typeof tried)[number]]
  if (!Number.isFinite(best.left))
    throw new IsochipError(
      'too-few-patches',
      'too few patches of the chart can be read by any form of the signal',
      {
        hint: 'expose the chart so that no patch clips and the black stands above the noise',
      },
    )
  const nextBy = (part: 'matrix' | 'range') =>
    Math.min(...tried.filter(({ as }) => as[part] !== best.as[part]).map(({ left }) => left))
  const told = (part: 'matrix' | 'range') =>
    best.left <= most && Number.isFinite(nextBy(part)) && nextBy(part) >= clearly * best.left
  const [matrix, range] = [kind !== 'rgb' && told('matrix'), told('range')]
  return {
    form: { matrix: matrix ? best.as.matrix : form.matrix, range: range ? best.as.range : form.range },
    matrix,
    range,
    left: best.left,
    next: Math.min(...tried.filter(({ as }) => as !== best.as).map(({ left }) => left)),
  }
}

/** Levels that were made by one form, as another makes them of the same codes. */
export function takenAs(rgb: Vec3, from: SignalForm, as: SignalForm, kind: Planes['kind']): Vec3 {
  const [was, is] = [codesOf(from.range), codesOf(as.range)]
  const level = (value: number) => (was.black + was.peak * value - is.black) / is.peak
  if (kind === 'rgb') return [level(rgb[0]), level(rgb[1]), level(rgb[2])]
  const [kr, kg, kb] = lumaOf[from.matrix]
  const luma = kr * rgb[0] + kg * rgb[1] + kb * rgb[2]
  const far = was.reach / is.reach
  const cb = (far * (rgb[2] - luma)) / (2 * (1 - kb))
  const cr = (far * (rgb[0] - luma)) / (2 * (1 - kr))
  const y = level(luma)
  const { r, gr, gb, b } = decodingOf(as.matrix)
  return [y + r * cr, y - gr * cr - gb * cb, y + b * cb]
}
