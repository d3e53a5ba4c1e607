import type { FittedMatch, OnSet, PrimaryShift } from '@isochip/core'
import { degreesText, deltaEText, signedPercentText } from './digits.ts'
import { instructions } from './lineup/instructions.ts'
import type { FittedCamera } from './showReport.ts'

/** One thing to set at the camera. */
export interface OnSetLine {
  /** The control. */
  readonly what: string
  /** What to do with it, and the mean ΔE00 that is then expected, or that it is to be set together with the next. */
  readonly say: string
  /** The same in fewer words, for a line of a table. */
  readonly brief: string
}

/**
 * What to set at the camera so that it would need no LUT, in the order in which to set it, in the units of its controls;
 * none where nothing is worth it, and none by the chart of another setup.
 */
export function onSetLines({ match, sourceEncoding, borrowed }: FittedCamera): OnSetLine[] {
  const { setting } = match
  if (setting === undefined || borrowed !== undefined) return []
  return instructions(setting.turn, setting.stages, sourceEncoding.range, setting.controls).map(
    ({ group, control, lines, outcome }): OnSetLine => {
      const plain = lines.map((line) =>
        line.replace(/ {2,}(?=%|mV|1[02]-bit)/, ' ').replaceAll(/ {2,}/g, ', '),
      )
      const left = outcome === undefined ? ', with the next' : ` → ΔE00 ${deltaEText(outcome.expected)}`
      // The lines of the pedestal say the same in three units, those of the matrix go on.
      const joined = plain.join(group === 'matrix' ? ', ' : '; ')
      return {
        what: control,
        say: `${joined}${left}`,
        brief: group === 'matrix' ? `all six terms, listed below${left}` : `${plain[0]!}${left}`,
      }
    },
  )
}

/** What stands where nothing is to be set. */
export function nothingToSet({ match, borrowed }: FittedCamera): string {
  if (borrowed !== undefined)
    return 'shoot the chart in this setup: nobody has seen how the camera stands in it'
  return match.setting === undefined ? 'not worked out' : 'no adjustment needed'
}

/** Before advice that rests on a curve that may be wrong. */
export const settingDoubt = ({ encodingDoubt }: FittedMatch): string | undefined =>
  encodingDoubt === undefined ? undefined : 'the encoding is in doubt, and this rests on it: settle it first'

/** What is to be set, as one sentence without a full stop. */
export function onSetSentence(camera: FittedCamera): string {
  const lines = onSetLines(camera)
  if (lines.length === 0) return nothingToSet(camera)
  const doubt = settingDoubt(camera.match)
  return [...(doubt === undefined ? [] : [doubt]), ...lines.map(({ what, say }) => `${what}: ${say}`)].join(
    '; ',
  )
}

/** Smaller turns of a primary than these, in degrees and as a share, are not told: common practice, no source. */
const small = { hue: 2, saturation: 0.04 }

/** What the match does to the primaries on the vectorscope. */
export function primariesSentence({ primaries }: OnSet): string {
  const words = ({ name, hue, saturation }: PrimaryShift): string[] => {
    const parts = [
      ...(Math.abs(hue) >= small.hue ? [`hue ${degreesText(hue)}°`] : []),
      ...(Math.abs(saturation - 1) >= small.saturation
        ? [`saturation ${signedPercentText(saturation - 1)} %`]
        : []),
    ]
    return parts.length === 0 ? [] : [`${name} ${parts.join(' and ')}`]
  }
  const turned = primaries.flatMap(words)
  return turned.length === 0 ? 'the match leaves them' : `the match turns ${turned.join('; ')}`
}
