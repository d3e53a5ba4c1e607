import type { OnSet } from '@isochip/core'
import { degreesText, duvText, miredText, signedPercentText, stopsSizeText, termText } from './digits.ts'

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

/** What to set at the camera so that it would need no match, in the units of its controls. */
export function onSetLines(onSet: OnSet): OnSetLine[] {
  const { exposure, whiteBalance: wb, blackBalance: black, matrix, primaries } = onSet
  const terms = Object.entries(matrix) as [keyof OnSet['matrix'], number][]
  const turned = primaries.filter(
    (p) => Math.abs(p.hue) >= idle.hue || Math.abs(p.saturation - 1) >= idle.saturation,
  )
  const whiteIdle = Math.abs(wb.redOverGreen - 1) < idle.gain && Math.abs(wb.blueOverGreen - 1) < idle.gain
  const blackIdle = black.every((level) => Math.abs(level) < idle.black)
  const warmth =
    Math.abs(wb.mired) < 0.5
      ? ''
      : `, ${wb.mired > 0 ? 'warmer' : 'cooler'} by ${miredText(Math.abs(wb.mired))} mired`
  const tint =
    Math.abs(wb.tint) < 0.05 ? '' : `, ${wb.tint > 0 ? 'greener' : 'more magenta'} by ${duvText(wb.tint)} Duv`
  const stops = Math.abs(exposure)
  const stop = `${exposure > 0 ? 'open' : 'close'} ${stopsSizeText(stops)} ${stops > 1 ? 'stops' : 'stop'}`
  const gains = `red gain ${signedPercentText(wb.redOverGreen - 1)} %, blue gain ${signedPercentText(wb.blueOverGreen - 1)} %`
  const blacks = black.map((level, i) => `${'RGB'[i]} ${signedPercentText(level / 100)} %`).join(', ')
  const term = ([name, value]: (typeof terms)[number]) =>
    `${name.toUpperCase().split('').join('-')} ${termText(value)}`
  const largest = terms.reduce((a, b) => (Math.abs(b[1]) > Math.abs(a[1]) ? b : a))
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
    line('exposure', Math.abs(exposure) < idle.stops, 'on target', stop),
    line('white balance', whiteIdle, 'on target', `${gains}${warmth}${tint}`, gains),
    line('black balance', blackIdle, 'on target', blacks),
    line(
      'matrix',
      terms.every(([, value]) => Math.abs(value) < idle.term),
      'on target',
      terms.map(term).join(', '),
      `${term(largest)} and five smaller`,
    ),
    line(
      'primaries',
      turned.length === 0,
      'on target',
      `the match turns ${turns.join('; ')}`,
      `${turned.length} of ${primaries.length} off`,
    ),
  ]
}

/** Only what is worth doing, as one sentence without a full stop. */
export function onSetSentence(onSet: OnSet): string {
  const worth = onSetLines(onSet).filter((line) => !line.idle && line.what !== 'primaries')
  return worth.length === 0
    ? 'no adjustment needed'
    : worth.map((line) => `${line.what}: ${line.say}`).join('; ')
}
