/**
 * Kinds of match, from the simplest. All but the last two are y = M · (g ∘ (x + l)); what a kind does not have
 * stays neutral (lift 0, gain 1, matrix = the conversion between the declared primaries).
 */
export const modelKinds = [
  'gain',
  'lift-gain',
  'matrix',
  'lift-gain-matrix',
  'root-polynomial-2',
  'root-polynomial-3',
] as const

export type ModelKind = (typeof modelKinds)[number]
