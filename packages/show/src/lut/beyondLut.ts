import { type Encoding, fractionFromNominal, type PatchReading, type Warning } from '@isochip/core'

/** What lies no further out than a step of 8 bits is no loss that anybody sees. */
const slack = 1 / 255

/**
 * A caution about patches that a lattice over 0…1 does not reach: whatever a picture has there is cut off before it
 * gets to the match, so that the match is better than its LUT. Clips that keep what is above white have it, and light
 * in floats.
 */
export function beyondLut(
  patches: readonly PatchReading[],
  { range }: Pick<Encoding, 'range'>,
  bits: number,
): Warning | undefined {
  const codes = patches.map(({ patch, rgb }) => {
    const fractions = rgb.map((value) => fractionFromNominal(value, range, bits))
    return { patch, low: Math.min(...fractions), high: Math.max(...fractions) }
  })
  const beyond = codes.filter(({ low, high }) => low < -slack || high > 1 + slack)
  if (beyond.length === 0) return undefined
  const reach = (value: number) => value.toFixed(2)
  const [low, high] = [Math.min(...beyond.map((one) => one.low)), Math.max(...beyond.map((one) => one.high))]
  return {
    code: 'beyond-lut',
    message:
      `${beyond.map(({ patch }) => patch).join(', ')}: code values outside 0…1 (${reach(Math.min(0, low))} to ${reach(Math.max(1, high))}), ` +
      'which a .cube file cuts off; Common LUT Format (formats: [clf]) keeps them, and so does less exposure',
  }
}
