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

/**
 * How a round's instructions are to be taken: must they be followed at all, and may one stop in between?
 *
 * @param expected mean ΔE00 after each of them. @param now before them
 */
export function followWords(expected: readonly number[], now: number, within: boolean): string {
  const worse = expected.slice(0, -1).some((value) => value > now)
  const all = `et ${worse ? 'all of them, since in between it is worse' : 'them in this order'}, then shoot the chart again.`
  return within ? `It may stay as it is; to bring it closer s${all}` : `S${all}`
}
