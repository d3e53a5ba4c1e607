import type { Curve } from '../chain/chain.ts'

/** Step in the signal: small against what a patch changes by, large against rounding. */
const step = 1e-6

/** Slope of a camera's curve, light over signal, at a code value: over a millionth of the range, since a curve may be a table. */
export const curveSlope = (curve: Curve, code: number, channel: 0 | 1 | 2): number =>
  (curve.decode(code + step, channel) - curve.decode(code, channel)) / step
