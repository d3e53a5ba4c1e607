import { affineDesign } from './affineDesign.ts'
import type { Design, DesignInput } from './design.ts'
import { levelDesign } from './levelDesign.ts'
import type { ModelKind } from './modelKind.ts'
import { rootPolynomialDesign } from './rootPolynomialDesign.ts'

/** The design of a kind over the given samples. */
export function designOf(kind: ModelKind, input: DesignInput): Design {
  switch (kind) {
    case 'gain':
      return levelDesign(input, false)
    case 'lift-gain':
      return levelDesign(input, true)
    case 'matrix':
      return affineDesign(input, false)
    case 'lift-gain-matrix':
      return affineDesign(input, true)
    default:
      return rootPolynomialDesign(input, kind)
  }
}
