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

/** Values of the terms for one colour, into `out[at…]`. Light at or below zero counts as zero. */
export function rootPolynomialValues(
  terms: readonly (readonly [number, number, number])[],
  r: number,
  g: number,
  b: number,
  out: Float64Array | number[],
  at: number,
): void {
  const lr = Math.log(Math.max(r, floor))
  const lg = Math.log(Math.max(g, floor))
  const lb = Math.log(Math.max(b, floor))
  for (let i = 0; i < terms.length; i++) {
    const [er, eg, eb] = terms[i]!
    const dark = (er > 0 && r <= floor) || (eg > 0 && g <= floor) || (eb > 0 && b <= floor)
    out[at + i] = dark ? 0 : Math.exp(er * lr + eg * lg + eb * lb)
  }
}
