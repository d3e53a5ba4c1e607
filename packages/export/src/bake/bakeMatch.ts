import type { Channel, Vec3 } from '@isochip/core'
import type { LatticeLut } from '../lut/lut.ts'
import { type BakeOptions, emptyLattice, nodeInputs, notFinite } from './bakeLattice.ts'
import { type EncodedMatch, matchSteps } from './matchTransform.ts'

/**
 * Samples a match on a lattice: the same numbers as `bakeLattice(matchTransform(match), options)`, but the camera's
 * curve is decoded once a node and channel instead of once a lattice point.
 *
 * @throws IsochipError `lut-limits`
 */
export function bakeMatch(match: EncodedMatch, options: BakeOptions): LatticeLut {
  const { decode, light, linear, encode } = matchSteps(match)
  const lut = emptyLattice(options)
  const { size, tableRedFastest: table } = lut
  const inputs = nodeInputs(lut)
  const decoded = (c: Channel) => Float64Array.from(inputs[c], (code) => decode(code, c))
  const reds = decoded(0)
  const greens = decoded(1)
  const blues = decoded(2)
  const put = (at: number, x: number, y: number, z: number): boolean => {
    const r = encode(x, 0)
    const g = encode(y, 1)
    const b = encode(z, 2)
    table[at] = r
    table[at + 1] = g
    table[at + 2] = b
    return Number.isFinite(r + g + b)
  }
  const check = (finite: boolean, i: number, j: number, k: number, at: number) => {
    if (finite) return
    const input: Vec3 = [inputs[0][i]!, inputs[1][j]!, inputs[2][k]!]
    throw notFinite(input, [table[at]!, table[at + 1]!, table[at + 2]!])
  }
  let at = 0
  if (linear === undefined) {
    for (let k = 0; k < size; k++) {
      for (let j = 0; j < size; j++) {
        for (let i = 0; i < size; i++, at += 3) {
          const [x, y, z] = light([reds[i]!, greens[j]!, blues[k]!])
          check(put(at, x, y, z), i, j, k, at)
        }
      }
    }
    return lut
  }
  // No lists of three here: for a thousand LUTs they would be what takes the time.
  const { matrix, gain, lift } = linear
  const scaled = (lights: Float64Array, c: Channel) => lights.map((x) => gain[c] * (x + lift[c]))
  const [r, g, b] = [scaled(reds, 0), scaled(greens, 1), scaled(blues, 2)]
  const [[m00, m01, m02], [m10, m11, m12], [m20, m21, m22]] = matrix
  for (let k = 0; k < size; k++) {
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < size; i++, at += 3) {
        const red = r[i]!
        const green = g[j]!
        const blue = b[k]!
        const x = m00 * red + m01 * green + m02 * blue
        const y = m10 * red + m11 * green + m12 * blue
        const z = m20 * red + m21 * green + m22 * blue
        check(put(at, x, y, z), i, j, k, at)
      }
    }
  }
  return lut
}
