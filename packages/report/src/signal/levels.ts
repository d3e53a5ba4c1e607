import {
  apply3,
  type Encoding,
  encodeRgb,
  type PrimariesSpec,
  primariesConversion,
  resolveEncoding,
  resolvePrimaries,
} from '@isochip/core'
import type { CameraReport } from '../showReport.ts'

/** Preferred range of R′, G′ and B′ in EBU R 103, as fractions of nominal black to nominal peak. */
export const preferredRange = { low: -0.05, high: 1.05 } as const

export interface LevelsCheck {
  /** Lowest and highest of R′, G′ and B′ over the matched patches, nominal (0 = black, 1 = peak). */
  readonly low: number
  readonly high: number
  /** Names of the patches that leave the preferred range, in chart order. */
  readonly outside: readonly string[]
}

/** The levels that the matched patches have in the output encoding, against the preferred range of EBU R 103. */
export function checkLevels(camera: CameraReport, working: PrimariesSpec): LevelsCheck {
  const encoding: Encoding = resolveEncoding(camera.outputEncoding)
  const toOutput = primariesConversion(resolvePrimaries(working), encoding.primaries)
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  const outside: string[] = []
  for (const { patch, matched } of camera.match.patches) {
    const code = encodeRgb(encoding, apply3(toOutput, matched))
    const least = Math.min(...code)
    const most = Math.max(...code)
    low = Math.min(low, least)
    high = Math.max(high, most)
    if (!(least >= preferredRange.low && most <= preferredRange.high)) outside.push(patch)
  }
  return { low, high, outside }
}
