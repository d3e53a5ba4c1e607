import { cbrt } from '../elementary/cbrt.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { ModelKind } from './modelKind.ts'

/** Exponents of r, g, b in each root-polynomial term after r, g, b themselves; every term is of degree one in all. */
const halves: readonly (readonly [number, number, number])[] = [
  [1 / 2, 1 / 2, 0],
  [0, 1 / 2, 1 / 2],
  [1 / 2, 0, 1 / 2],
]
const thirds: readonly (readonly [number, number, number])[] = [
  [1 / 3, 2 / 3, 0],
  [0, 1 / 3, 2 / 3],
  [1 / 3, 0, 2 / 3],
  [2 / 3, 1 / 3, 0],
  [0, 2 / 3, 1 / 3],
  [2 / 3, 0, 1 / 3],
  [1 / 3, 1 / 3, 1 / 3],
]

/**
 * The terms of root-polynomial regression after r, g and b: Finlayson, Mackiewicz, Hurlbert, Color correction using
 * root-polynomial regression, IEEE Trans. Image Process. 24 (2015), equations 6 and 7: √rg, √gb, √rb, and for degree
 * 3 ∛rg², ∛gb², ∛rb², ∛gr², ∛bg², ∛br², ∛rgb. Every term scales with exposure as r, g and b do.
 */
export function rootPolynomialTerms(kind: ModelKind): readonly (readonly [number, number, number])[] {
  return kind === 'root-polynomial-3' ? [...halves, ...thirds] : halves
}

/** Light at or below this has no root worth taking; it is where noise crosses zero. */
const floor = 1e-9

/**
 * ∂term/∂(r, g, b), three numbers per term, into `out`: of r^a·g^b·b^c by r it is a · term / r. Zero where the term is.
 *
 * @param values r, g, b and the terms' values after them.
 */
export function rootPolynomialSlopes(
  terms: readonly (readonly [number, number, number])[],
  values: ArrayLike<number>,
  out: Float64Array,
): void {
  for (let i = 0; i < terms.length; i++) {
    const value = values[3 + i]!
    for (let k = 0; k < 3; k++) {
      const exponent = terms[i]![k]!
      out[3 * i + k] = value === 0 || exponent === 0 ? 0 : (exponent * value) / values[k]!
    }
  }
}

/** Values of the terms at the camera's light that the gain takes to white: by them terms compare with a matrix term. */
export function rootPolynomialAtWhite(
  terms: readonly (readonly [number, number, number])[],
  [r, g, b]: Vec3,
): number[] {
  const values: number[] = []
  rootPolynomialValues(terms, 1 / r, 1 / g, 1 / b, values, 0)
  return values
}

/** Values of the terms for one colour, into `out[at…]`. Light at or below zero counts as zero. */
export function rootPolynomialValues(
  terms: readonly (readonly [number, number, number])[],
  r: number,
  g: number,
  b: number,
  out: Float64Array | number[],
  at: number,
): void {
  // Roots and products: the exponents of the tables above, without a logarithm and an exponential each.
  const x = r > floor ? r : 0
  const y = g > floor ? g : 0
  const z = b > floor ? b : 0
  out[at] = Math.sqrt(x * y)
  out[at + 1] = Math.sqrt(y * z)
  out[at + 2] = Math.sqrt(x * z)
  if (terms.length === halves.length) return
  const cx = cbrt(x)
  const cy = cbrt(y)
  const cz = cbrt(z)
  out[at + 3] = cx * cy * cy
  out[at + 4] = cy * cz * cz
  out[at + 5] = cx * cz * cz
  out[at + 6] = cx * cx * cy
  out[at + 7] = cy * cy * cz
  out[at + 8] = cx * cx * cz
  out[at + 9] = cx * cy * cz
}
