/** What a Common LUT Format file may be, in one place. */
export const clfLimits = {
  fileBytes: 3e8,
  /** Elements inside each other. The format needs four; looking up namespaces is quadratic in it. */
  depth: 64,
  elements: 10_000,
  latticeSize: 256,
  /** From memory: what the reference implementation takes. */
  curveLength: 1048576,
  /** Digits of a number; more say nothing, and take a long time to say it. */
  digits: 1000,
  /** From memory: S-2014-006 v3, Exponent: the bounds of exponent and offset. */
  exponent: { min: 0.01, max: 100 },
  monCurveExponent: { min: 1, max: 10 },
  monCurveOffset: { min: 0, max: 0.9 },
} as const
