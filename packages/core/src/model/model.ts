import { apply3, type Mat3, type Vec3 } from '../linear/mat3.ts'
import type { conversion, matchModel } from '../shape/model.ts'
import type { Shape } from '../shape/shape.ts'
import { rootPolynomialSlopes, rootPolynomialTerms, rootPolynomialValues } from './rootPolynomial.ts'

/**
 * A match: linear light in the camera's own primaries → linear light in the working primaries,
 * y = M · ρ(g ∘ (x + l)). ρ is the identity for the linear kinds; for the root-polynomial kinds it appends the
 * root-polynomial terms and M has as many columns (`rootPolynomial`), its first three being `matrix`.
 */
export interface MatchModel extends Shape<typeof matchModel> {}

/** Nothing fitted: linear light in the camera's own primaries → the working primaries as declared, y = M · x. */
export interface Conversion extends Shape<typeof conversion> {}

/** Whatever takes a camera's light to the working primaries. */
export type LightModel = MatchModel | Conversion

/**
 * y = M · ρ(g ∘ (x + l)), for one colour.
 *
 * @param light linear light in the camera's primaries. @returns linear light in the working primaries, not clipped.
 */
export function applyModel(model: LightModel, light: Vec3): Vec3 {
  if (model.kind === 'conversion') return apply3(model.matrix, light)
  const { matrix, rootPolynomial } = model
  const levelled = levelledLight(model, light)
  const out = apply3(matrix, levelled)
  if (rootPolynomial === undefined) return out
  const terms: number[] = []
  rootPolynomialValues(rootPolynomialTerms(model.kind), levelled[0], levelled[1], levelled[2], terms, 0)
  const extra = (row: readonly number[]) => row.reduce((sum, c, i) => sum + c * terms[i]!, 0)
  return [
    out[0] + extra(rootPolynomial[0]),
    out[1] + extra(rootPolynomial[1]),
    out[2] + extra(rootPolynomial[2]),
  ]
}

/** g ∘ (x + l). */
export const levelledLight = ({ lift, gain }: MatchModel, light: Vec3): Vec3 => [
  gain[0] * (light[0] + lift[0]),
  gain[1] * (light[1] + lift[1]),
  gain[2] * (light[2] + lift[2]),
]

/**
 * ∂y/∂(g ∘ (x + l)), output by channel, at a levelled light: the matrix itself, and what the root-polynomial terms add to
 * it there.
 */
export function balancedSlopes({ kind, matrix, rootPolynomial }: MatchModel, levelled: Vec3): Mat3 {
  if (rootPolynomial === undefined) return matrix
  const terms = rootPolynomialTerms(kind)
  const values = [...levelled]
  rootPolynomialValues(terms, ...levelled, values, 3)
  const slopes = new Float64Array(3 * terms.length)
  rootPolynomialSlopes(terms, values, slopes)
  const entry = (c: 0 | 1 | 2, k: 0 | 1 | 2) =>
    rootPolynomial[c].reduce((sum, term, i) => sum + term * slopes[3 * i + k]!, matrix[c][k])
  const row = (c: 0 | 1 | 2): Vec3 => [entry(c, 0), entry(c, 1), entry(c, 2)]
  return [row(0), row(1), row(2)]
}
