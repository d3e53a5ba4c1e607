import { resolveEncoding } from '@isochip/core'

const { transfer } = resolveEncoding('srgb')

/** Light from which on the next of the 8-bit codes of the screen is the nearer one. */
const steps = Float64Array.from({ length: 255 }, (_, k) => transfer.decode((k + 0.5) / 255, 0))

/** The 8-bit code of a screen (IEC 61966-2-1) that is nearest to a light of 0…1; black for what is no number. */
export function screenCode(light: number): number {
  let low = 0
  let high = 255
  while (low < high) {
    const middle = (low + high) >> 1
    if (light >= steps[middle]!) low = middle + 1
    else high = middle
  }
  return low
}
