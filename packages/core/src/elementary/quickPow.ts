import { exp } from './exp.ts'
import { ln } from './ln.ts'

/**
 * base^exponent for the curves of standards, whose exponents are small: within 1e-14 of it, relatively, for bases from 1e-6
 * to 1e3. A LUT takes a hundred thousand of them, and this takes a third of the time of `pow`.
 *
 * @param base 0 or more
 */
export const quickPow = (base: number, exponent: number): number => exp(exponent * ln(base))
