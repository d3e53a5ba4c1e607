import type { Encoding, EncodingDoubt, GreyWord } from '@isochip/core'

/** What a round's advice rests on, to be said before it. */
export interface RestsOn {
  readonly encodingDoubt?: EncodingDoubt | undefined
  readonly grey?: GreyWord | undefined
}

const nameOf = (transfer: Encoding['spec']['transfer']) =>
  typeof transfer === 'string' ? transfer : 'the curve given for it'

/** A doubtful encoding, a knee, and what may be flare as well as pedestal: a sentence each, the weightiest first. */
export function restsOn({ encodingDoubt, grey }: RestsOn, { transfer, range }: Encoding['spec']): string[] {
  const words: string[] = []
  if (encodingDoubt !== undefined) {
    const [best] = encodingDoubt.alternatives
    const like =
      best === undefined
        ? 'look at gamma or log setting, range, knee, black stretch and picture style of the camera'
        : `it looks more like ${nameOf(best.encoding.transfer)} in ${best.encoding.range} range`
    words.push(
      `First see to the encoding: ${nameOf(transfer)} in ${range} range does not explain this camera’s grey scale and colours; ${like}. Pedestal, gamma and matrix as said here rest on it.`,
    )
  }
  if (grey?.knee !== undefined) {
    const { knee, kneeGain: gain } = grey
    const gained =
      gain === undefined
        ? ''
        : gain >= 0
          ? ` By itself this is expected to make ΔE00 ${gain.toFixed(2)} less.`
          : ` By itself this makes ΔE00 ${(-gain).toFixed(2)} more, since the knee hides a part of what is to be turned below.`
    words.push(
      `The lightest grey is ${(100 * knee).toFixed(1)} % of the signal under what the others lead to expect: is a knee on? Turn it off, or raise its point, before anything else; what lies over it is left out of the advice.${gained}`,
    )
  }
  if (grey?.black === 'either')
    words.push(
      'At black, flare and pedestal look alike on this grey scale. The pedestal is said, by which less is lost; where the blacks do not follow it, it is flare: shade the lens.',
    )
  return words
}
