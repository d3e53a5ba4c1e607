import { atan2 } from './atan2.ts'

/** Arc sine, −π/2…π/2, within 2 ulp; NaN outside −1…1. */
export const asin = (x: number): number => atan2(x, Math.sqrt((1 - x) * (1 + x)))
