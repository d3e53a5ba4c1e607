/*
 * What the solvers take for nothing. Each is relative: of columns or parameters that were brought to one size before.
 */

/**
 * Singular values of the column-scaled design below this share of the largest do not count: the one tolerance by which the
 * rank of a chart is judged. Columns are scaled to unit length first, so data in 0…1 and in 0…65535 get the same answer. Six
 * digits: readings of a chart have four or five, and what is left below that is their noise.
 */
export const rankTolerance = 1e-6

/** Below this pivot of a scaled normal matrix (diagonal 1 + λ) half of a double's digits are gone: a step is by QR then. */
export const safePivot = 1e-9

/** Singular values of a fit's Jacobian below this share of the largest leave parameters open: they have no standard error. */
export const openBelow = 1e-9

/** What is added to the curvature of each parameter, as a share of it, so that a term that the patches do not show does not stop the rest. */
export const ridge = 1e-12

/** Pivots at or below this, of columns of unit length or of residuals in ΔE00, are rounding, and count as this. */
export const leastPivot = { least: 1e-12, instead: 1e-12 } as const
