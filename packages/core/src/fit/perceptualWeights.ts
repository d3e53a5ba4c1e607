import { pow } from '../elementary/pow.ts'
/**
 * Weights under which least squares in linear light count about as the eye does. Lightness grows with about the cube root
 * of light, so an error counts by 1 / light^(2/3): squared, 1 / light^(4/3).
 *
 * @param target linear light, three numbers per patch. @param weight one per patch.
 */
export function perceptualWeights(target: Float64Array, weight: Float64Array): Float64Array {
  return weight.map((value, p) => {
    const level = (Math.abs(target[3 * p]!) + Math.abs(target[3 * p + 1]!) + Math.abs(target[3 * p + 2]!)) / 3
    return value / pow(level + 0.01, 4 / 3)
  })
}
