import { atan2 } from './atan2.ts'

/** Arc cosine, 0…π, within 2 ulp; NaN outside −1…1. */
export const acos = (x: number): number => 2 * atan2(Math.sqrt(1 - x), Math.sqrt(1 + x))
