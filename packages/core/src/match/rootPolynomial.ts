import type { Vec3 } from '../linear/mat3.ts'
import type { ModelKind } from './model.ts'

/**
 * The root-polynomial terms after r, g, b themselves: Finlayson, Mackiewicz, Hurlbert, Color correction using
 * root-polynomial regression, IEEE Trans. Image Process. 24 (2015), equations 6 and 7. Every term scales with
 * exposure as r, g and b do. Roots of products that noise took below zero are taken as zero.
 */
export function rootPolynomialFeatures(kind: ModelKind, [r, g, b]: Vec3): number[] {
  const root2 = (p: number) => Math.sqrt(Math.max(p, 0))
  const second = [root2(r * g), root2(g * b), root2(r * b)]
  if (kind === 'root-polynomial-2') return second
  const root3 = (p: number) => Math.cbrt(Math.max(p, 0))
  return [
    ...second,
    root3(r * g * g),
    root3(g * b * b),
    root3(r * b * b),
    root3(g * r * r),
    root3(b * g * g),
    root3(b * r * r),
    root3(r * g * b),
  ]
}
