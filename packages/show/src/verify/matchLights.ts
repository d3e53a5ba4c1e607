import {
  apply3,
  encodeRgb,
  inverse3,
  primariesConversion,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import type { MatchFile } from '../matchFile/matchFile.ts'
import { throughLut } from './throughLut.ts'

/**
 * The chart of then through a LUT: what verify would have found when the match was made. Patches that had no part in
 * the match are left out.
 *
 * @param apply code values as fractions of the full range, in and out
 * @returns linear light by patch, in the working primaries of the match
 */
export function matchLights(match: MatchFile, apply: (code: Vec3) => Vec3): ReadonlyMap<string, Vec3> {
  const working = resolvePrimaries(match.working)
  const source = resolveEncoding(match.sourceEncoding)
  const through = throughLut(apply, source, resolveEncoding(match.outputEncoding), working, match.bits)
  const toCamera = inverse3(primariesConversion(source.primaries, working))
  return new Map(
    match.patches
      .filter(({ excluded }) => excluded === undefined)
      .map((patch) => [patch.patch, through(encodeRgb(source, apply3(toCamera, patch.source)))]),
  )
}
