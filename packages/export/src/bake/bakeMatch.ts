import type { Channel } from '@isochip/core'
import { firstNotFinite, type LatticeLut } from '../lut/lut.ts'
import { tripleAt } from '../lut/triples.ts'
import { type BakeOptions, emptyLattice, nodeInputs, notFinite } from './bakeLattice.ts'
import { throughCurves } from './codeCurves.ts'
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

/** The same for the steps of a match, or of what is left of it after a curve. */
export function bakeSteps({ decode, light, encode }: MatchSteps, options: BakeOptions): LatticeLut {
  const lut = emptyLattice(options)
  const { size, tableRedFastest: table } = lut
  const inputs = nodeInputs(lut)
  const decoded = (c: Channel) => Float64Array.from(inputs[c], (code) => decode[c].at(code))
  const [reds, greens, blues] = [decoded(0), decoded(1), decoded(2)]
  const y = new Float64Array(3)
  const plane = 3 * size * size
  for (let k = 0; k < size; k++) {
    // A plane at a time stays in the fastest memory from one step to the next.
    const triples = table.subarray(k * plane, (k + 1) * plane)
    let at = 0
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < size; i++) {
        light(reds[i]!, greens[j]!, blues[k]!, y)
        triples[at] = y[0]!
        triples[at + 1] = y[1]!
        triples[at + 2] = y[2]!
        at += 3
      }
    }
    throughCurves(encode, triples)
  }
  const bad = firstNotFinite(table)
  if (bad >= 0) {
    const node = Math.floor(bad / 3)
    const [i, j, k] = [node % size, Math.floor(node / size) % size, Math.floor(node / size ** 2)]
    throw notFinite([inputs[0][i]!, inputs[1][j]!, inputs[2][k]!], tripleAt(table, 3 * node))
  }
  return lut
}
