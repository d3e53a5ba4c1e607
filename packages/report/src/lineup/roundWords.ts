import type { Instruction } from './instructions.ts'

/** What is to be said of a camera's round before all else. */
export interface RoundWords {
  /** `within`: as close as the show asks. `adjust`: turn what is said. `left`: no control brings it nearer, and it is not within. */
  readonly state: 'within' | 'adjust' | 'left'
  readonly text: string
}

/**
 * @param steps how many instructions there are. @param within is its mean ΔE00 within the tolerance of the show?
 */
export function roundWords(steps: number, within: boolean): RoundWords {
  if (within) return { state: 'within', text: steps === 0 ? 'no adjustment needed' : 'within tolerance' }
  return steps === 0
    ? { state: 'left', text: 'no control brings it nearer' }
    : { state: 'adjust', text: 'to be adjusted' }
}

/** What is said where a camera was touched otherwise than was asked. @param forgotten what was learnt of it was let go */
export const touchedWords = (forgotten: boolean): string =>
  forgotten
    ? 'This camera, or the light on the chart, was changed in another way than was asked: what was known of its controls is let go.'
    : 'This camera was changed in another way than was asked; what is known of its controls stays.'

/** How a round's instructions are to be taken: must they be followed at all? */
export const followWords = (within: boolean): string =>
  within
    ? 'It may stay as it is; to bring it closer set them in this order, then shoot the chart again.'
    : 'Set them in this order, then shoot the chart again.'

/**
 * What is expected of whoever stops after an instruction.
 *
 * @param number of it, counted from 1
 */
export function outcomeWords({ outcome }: Instruction, number: number): string {
  if (outcome === undefined) return `set it together with ${number + 1}: by itself it makes it worse`
  const { expected, gain } = outcome
  const gained = gain === undefined ? '' : `, ${gain.toFixed(2)} ${gain < 0 ? 'more' : 'less'}`
  return `then ΔE00 ${expected.toFixed(2)} is expected${gained}`
}
