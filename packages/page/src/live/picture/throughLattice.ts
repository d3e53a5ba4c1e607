import { type LatticeLut, trilinear } from '@isochip/export'

/**
 * Levels through a LUT. Trilinear, as a 3D texture does it.
 *
 * @param levels interleaved R′G′B′; what lies outside of the LUT's domain is clamped to it
 */
export function throughLattice(levels: Float32Array, lut: LatticeLut): Float32Array {
  const out = new Float32Array(levels.length)
  for (let at = 0; at < levels.length; at += 3)
    trilinear(lut, levels[at]!, levels[at + 1]!, levels[at + 2]!, out, at)
  return out
}
