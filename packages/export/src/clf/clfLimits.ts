/** What a Common LUT Format file may be, in one place. */
export const clfLimits = {
  fileBytes: 3e8,
  /** Elements inside each other. The format needs four; looking up namespaces is quadratic in it. */
  depth: 64,
  elements: 10_000,
  latticeSize: 256,
  curveLength: 65536,
  /** From memory: S-2014-006 v3, Exponent: the bounds of exponent and offset. */
  exponent: { min: 0.01, max: 100 },
  monCurveExponent: { min: 1, max: 10 },
  monCurveOffset: { min: 0, max: 0.9 },
} as const

/** Namespaces of the format: Academy versions 2 and 3, SMPTE ST 2136-1 (from memory). */
export const clfNamespaces = [
  '',
  'urn:AMPAS:CLF:v2.0',
  'urn:AMPAS:CLF:v3.0',
  'http://www.smpte-ra.org/ns/2136-1/2024',
] as const
