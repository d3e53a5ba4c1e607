import type { BarName } from '@isochip/core'

/**
 * 75 % colour bars as 10-bit narrow-range Y′, C′B, C′R in BT.709: the values that SMPTE RP 219 prints for its colour
 * bar signal (100/0/75/0, ITU-R BT.471). The figures are from memory.
 */
export const bars10bit: Record<BarName, readonly [number, number, number]> = {
  yellow: [674, 176, 543],
  cyan: [581, 589, 176],
  green: [534, 253, 207],
  magenta: [251, 771, 817],
  red: [204, 435, 848],
  blue: [111, 848, 481],
}
