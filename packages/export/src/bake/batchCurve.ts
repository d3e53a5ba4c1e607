/** A curve that changes many numbers at once. */
export interface BatchCurve {
  at(x: number): number
  /** Every `step`-th number from the one at `start` on, in place. */
  each(values: Float64Array, start: number, step: number): void
}

/** The curve itself, number by number. */
export const exactCurve = (exact: (x: number) => number): BatchCurve => ({
  at: exact,
  each(values, start, step) {
    for (let i = start; i < values.length; i += step) values[i] = exact(values[i]!)
  },
})
