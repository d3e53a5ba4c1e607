import { resolveTransfer } from '@isochip/core'

const { decode } = resolveTransfer('srgb')

/** Light from which on the next of the 8-bit codes of the screen is the nearer one; none is beyond the last. */
const steps = Float64Array.from({ length: 256 }, (_, k) =>
  k === 255 ? Number.POSITIVE_INFINITY : decode((k + 0.5) / 255, 0),
)

/** The code of the darkest light of each of so many equal parts of 0…1; that of the brightest is hardly another. */
const parts = 4096
const codes = Uint8Array.from({ length: parts }, (_, i) => steps.findIndex((step) => i / parts < step))

/** The 8-bit code of a screen (IEC 61966-2-1) that is nearest to a light of 0…1; black for what is no number. */
export function screenCode(light: number): number {
  if (!(light > 0)) return 0
  if (light >= 1) return 255
  let code = codes[Math.floor(light * parts)]!
  while (light >= steps[code]!) code++
  return code
}
