import { type EncodingSpec, type MatchModel, resolveEncoding, resolvePrimaries } from '@isochip/core'
import type { EncodedMatch } from '../../src/index.ts'

/** Nothing in it is neutral. */
export const strongModel: MatchModel = {
  kind: 'lift-gain-matrix',
  lift: [-0.002, 0.001, 0.003],
  gain: [1.3, 0.95, 0.8],
  matrix: [
    [1.2, -0.15, -0.05],
    [-0.08, 1.11, -0.03],
    [0.02, -0.22, 1.2],
  ],
}

/** Neutrals stay neutral: gains of 1, no lift, rows that sum to 1. */
export const neutralModel: MatchModel = { ...strongModel, lift: [0, 0, 0], gain: [1, 1, 1] }

export const rootPolynomialModel: MatchModel = {
  ...strongModel,
  kind: 'root-polynomial-2',
  rootPolynomial: [
    [0.05, -0.02, -0.03],
    [0.01, 0.02, -0.03],
    [0, 0, 0],
  ],
}

export function matchOf(
  source: EncodingSpec,
  output: EncodingSpec,
  model: MatchModel = strongModel,
  bits = 10,
): EncodedMatch {
  return {
    source: resolveEncoding(source),
    model,
    working: resolvePrimaries('bt709'),
    output: resolveEncoding(output),
    bits,
  }
}
