import {
  apply3,
  type FittedMatch,
  invert3,
  multiply3,
  type PrimariesSpec,
  primariesConversion,
  resolvePrimaries,
  type YCbCr,
} from '@isochip/core'
import { barsThrough } from './scopeGraticule.ts'

/**
 * What a camera, its levels balanced but without its matrix, makes of the target's six 75 % bars: the corners of the
 * hexagon that its primaries span. Light y of the target is M⁻¹·y in the camera's balanced signals, which the
 * declared primaries show as D·M⁻¹·y. `undefined` for a root-polynomial match, which is no linear map, and for a
 * matrix without inverse.
 */
export function cameraHexagon(match: FittedMatch, working: PrimariesSpec): YCbCr[] | undefined {
  const { matrix, rootPolynomial } = match.model
  const inverse = invert3(matrix)
  if (rootPolynomial !== undefined || inverse === undefined) return undefined
  const bt709 = resolvePrimaries('bt709')
  const own = resolvePrimaries(working)
  const seen = multiply3(match.declared, inverse)
  const map = multiply3(primariesConversion(own, bt709), multiply3(seen, primariesConversion(bt709, own)))
  return barsThrough((light) => apply3(map, light))
}
