import type { Channel, Vec3 } from '@isochip/core'
import type { LatticeLut } from '../lut/lut.ts'
import { type BakeOptions, emptyLattice, nodeInputs, notFinite } from './bakeLattice.ts'
import { type EncodedMatch, type MatchSteps, matchSteps } from './matchTransform.ts'

/**
 * Samples a match on a lattice: the same numbers as `bakeLattice(matchTransform(match), options)`, but the camera's
 * curve is decoded once a node and channel instead of once a lattice point.
 *
 * @throws IsochipError `lut-limits`
 */
export function bakeMatch(match: EncodedMatch, options: BakeOptions): LatticeLut {
  return bakeSteps(matchSteps(match), options)
}

/** The same for the steps of a match, or of what is left of it behind a curve. */
export function bakeSteps({ decode, light, encode }: MatchSteps, options: BakeOptions): LatticeLut {
  const lut = emptyLattice(options)
  const { size, tableRedFastest: table } = lut
  const inputs = nodeInputs(lut)
  const decoded = (c: Channel) => Float64Array.from(inputs[c], (code) => decode(code, c))
  const [reds, greens, blues] = [decoded(0), decoded(1), decoded(2)]
  const y = new Float64Array(3)
  let at = 0
  for (let k = 0; k < size; k++) {
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < size; i++) {
        light(reds[i]!, greens[j]!, blues[k]!, y)
        const r = encode(y[0]!, 0)
        const g = encode(y[1]!, 1)
        const b = encode(y[2]!, 2)
        if (!Number.isFinite(r + g + b)) {
          const input: Vec3 = [inputs[0][i]!, inputs[1][j]!, inputs[2][k]!]
          throw notFinite(input, [r, g, b])
        }
        table[at] = r
        table[at + 1] = g
        table[at + 2] = b
        at += 3
      }
    }
  }
  return lut
}
