import {
  apply3,
  type Encoding,
  encodeRgb,
  type PrimariesSpec,
  primariesConversion,
  resolveEncoding,
  resolvePrimaries,
  rgbToXyz,
  type Vec3,
} from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import type { levelsCheck } from '../data/reportShape.ts'
import { patchLights } from '../patchLights.ts'
import type { CameraReport } from '../showReport.ts'
import type { Trio } from './patchSignals.ts'

/**
 * Preferred range of R′, G′ and B′ in EBU R 103, as fractions of nominal black to nominal peak. The values are those of
 * version 3.0 (2020) from memory.
 */
export const preferredRange = { low: -0.05, high: 1.05 } as const

/** The same of luma Y′, which is narrower. From memory as well. */
export const preferredLuma = { low: -0.01, high: 1.03 } as const

/** Is this a signal that somebody delivers? Linear light and log curves go through grading first. */
export const isDelivery = ({ transfer }: Encoding['spec']): boolean =>
  typeof transfer === 'string'
    ? transfer !== 'linear' && transfer !== 'acescc' && transfer !== 'acescct'
    : !('log' in transfer)

/** The levels of the matched patches against EBU R 103. */
export interface LevelsCheck extends Shape<typeof levelsCheck> {}

/** As shot, matched and target of a patch in a camera's output encoding, 0 at black and 1 at peak. */
export function outputSignals(
  { outputEncoding }: CameraReport,
  working: PrimariesSpec,
): (patch: Trio<Vec3>) => Trio<Vec3> {
  const encoding = resolveEncoding(outputEncoding)
  const toOutput = primariesConversion(resolvePrimaries(working), encoding.primaries)
  const code = (light: Vec3) => encodeRgb(encoding, apply3(toOutput, light))
  return ({ source, matched, target }) => ({
    source: code(source),
    matched: code(matched),
    target: code(target),
  })
}

/** The levels that the matched patches have in the output encoding, against the preferred ranges of EBU R 103. */
export function checkLevels(camera: CameraReport, working: PrimariesSpec): LevelsCheck {
  const signals = outputSignals(camera, working)
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  const luma = { low: Number.POSITIVE_INFINITY, high: Number.NEGATIVE_INFINITY }
  const [, weights] = rgbToXyz(resolvePrimaries(camera.outputEncoding.primaries))
  const outside: string[] = []
  for (const patch of patchLights(camera.match)) {
    const { matched: code } = signals(patch)
    const least = Math.min(...code)
    const most = Math.max(...code)
    low = Math.min(low, least)
    high = Math.max(high, most)
    const y = code[0] * weights[0] + code[1] * weights[1] + code[2] * weights[2]
    luma.low = Math.min(luma.low, y)
    luma.high = Math.max(luma.high, y)
    const inside =
      least >= preferredRange.low &&
      most <= preferredRange.high &&
      y >= preferredLuma.low &&
      y <= preferredLuma.high
    if (!inside) outside.push(patch.patch)
  }
  return { low, high, luma, outside }
}
