import { preferredLuma, preferredRange } from '@isochip/report'
import type { ScopeStandard } from './standard.ts'
import type { ScopePixels } from './trace.ts'

/** Of every pixel: 0 is within, 1 below, 2 above, 3 both (one channel each). */
export interface LegalMap {
  readonly marks: Uint8Array
  /** Shares of the pixels. */
  readonly below: number
  readonly above: number
}

/** Which pixels leave the preferred ranges of EBU R 103, as the report has them, in R′, G′, B′ or Y′; none where the standard sets no limits. */
export function legalMap(pixels: ScopePixels, { luma: [kr, kg, kb], limits }: ScopeStandard): LegalMap {
  const count = pixels.width * pixels.height
  const marks = new Uint8Array(count)
  if (!limits) return { marks, below: 0, above: 0 }
  const { data, unit } = pixels
  const [low, high] = [preferredRange.low * unit, preferredRange.high * unit]
  const [lumaLow, lumaHigh] = [preferredLuma.low * unit, preferredLuma.high * unit]
  let [below, above] = [0, 0]
  for (let i = 0, at = 0; i < count; i++, at += 3) {
    const [r, g, b] = [data[at]!, data[at + 1]!, data[at + 2]!]
    const y = kr * r + kg * g + kb * b
    const under = r < low || g < low || b < low || y < lumaLow
    const over = r > high || g > high || b > high || y > lumaHigh
    if (under) below++
    if (over) above++
    marks[i] = (under ? 1 : 0) + (over ? 2 : 0)
  }
  return { marks, below: below / count, above: above / count }
}
