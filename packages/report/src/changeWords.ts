import { gainText, signedPercentText, stopsText, termText } from './digits.ts'
import { type ChangedPart, changeLimits, type SetupChange } from './setupChanges.ts'

/** A change in the columns of a table, each with the part that it belongs to. */
export function changeCells(
  change: SetupChange,
): readonly { readonly part: ChangedPart; readonly text: string }[] {
  const { exposure, whiteBalance, black, matrix } = change
  const most = <T>(of: readonly T[], size: (item: T) => number) =>
    of.reduce((a, b) => (Math.abs(size(b)) > Math.abs(size(a)) ? b : a))
  const [name, value] = most(Object.entries(matrix), ([, term]) => term)
  return [
    { part: 'exposure', text: stopsText(exposure) },
    { part: 'white balance', text: `× ${gainText(whiteBalance.redOverGreen)}` },
    { part: 'white balance', text: `× ${gainText(whiteBalance.blueOverGreen)}` },
    { part: 'black', text: signedPercentText(most([...black], (level) => level) / 100) },
    { part: 'matrix', text: `${name.toUpperCase().split('').join('-')} ${termText(value)}` },
  ]
}

/** Heads of those columns. */
export const changeHeads = ['stops', 'R/G', 'B/G', 'black %', 'matrix'] as const

export const changeCaption = `Each setup against the camera’s first, relative to the target. Black: the channel that changed most; matrix: the term. ! worth a look: more than ${changeLimits.stops.toFixed(2)} stop, ${100 * changeLimits.gain} % of white balance, ${changeLimits.black} % of black, ${changeLimits.term} of a term. A filter, a camera setting, or the light?`
