/** One shot of a camera with what was asked for after it. */
export interface ShotSignal {
  /** Code values, fractions of the nominal range, three per patch; NaN for a patch that cannot be used. */
  readonly signal: Float64Array
  /** What the shot by itself says of the pedestal, and how sure it is: three standard errors. */
  readonly pedestal: ArrayLike<number>
  readonly pedestalError: ArrayLike<number>
  /** Twelve numbers; undefined after the last shot. */
  readonly asked?: Float64Array
  /** Nobody knows what was turned after it: `asked` is nothing, and the shots tell. */
  readonly unknown?: boolean
}
