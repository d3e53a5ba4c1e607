import type { Vec3 } from '../linear/mat3.ts'

/** One primary or secondary of BT.709 before the match against what the match makes of it, on the vectorscope. */
export interface PrimaryShift {
  readonly name: 'red' | 'yellow' | 'green' | 'cyan' | 'blue' | 'magenta'
  /** Turn of the hue on the vectorscope that the match makes, degrees, anticlockwise positive. */
  readonly hue: number
  /** Ratio of the distance from the centre after to before. */
  readonly saturation: number
}

/** A match in the words of the set: what would have to change at the camera for it to need no match. */
export interface OnSet {
  /** Stops by which the camera has to open (positive) or close. */
  readonly exposure: number
  /** Gains of red and blue against green that balance the camera's white to the target's. */
  readonly whiteBalance: {
    readonly redOverGreen: number
    readonly blueOverGreen: number
    /** The same as a shift of the colour temperature in mired (positive: the picture has to get warmer) … */
    readonly mired: number
    /** … and across the Planckian locus, in 10⁻³ Duv (positive: it has to get greener). */
    readonly tint: number
  }
  /** What to add to each channel's black, in percent of a diffuse white's linear light. */
  readonly blackBalance: Vec3
  /** The six off-diagonal terms of the matrix, as a camera's own linear matrix is set by. */
  readonly matrix: {
    readonly rg: number
    readonly rb: number
    readonly gr: number
    readonly gb: number
    readonly br: number
    readonly bg: number
  }
  readonly primaries: readonly PrimaryShift[]
}
