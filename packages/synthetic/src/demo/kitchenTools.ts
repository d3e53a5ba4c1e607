import type { Vec3 } from '@isochip/core'
import type { Brush, Fill } from '../picture/brush.ts'
import type { KitchenColour } from './kitchenColours.ts'

/** Paints with the kitchen's colours; `level` is the light that falls on them. */
export type Paint = (colour: KitchenColour, level?: number) => Vec3

export interface KitchenTools {
  readonly brush: Brush
  readonly paint: Paint
  /** A round thing, lit from the window side. */
  readonly round: (colour: KitchenColour, level?: number, gloss?: number) => Fill
}
