import type { RenderedFrame } from '../camera/develop.ts'
import type { ChartTruth } from '../frame/chartTruth.ts'
import type { Quad } from '../picture/homography.ts'
import type { HarbourSetup } from './harbourCameras.ts'

export interface HarbourFrame {
  /** Path beside the show file, with / between its parts: `wide/day-1.png`. */
  readonly name: string
  readonly frame: RenderedFrame
  readonly truth: ChartTruth
}

export interface HarbourShot {
  readonly camera: string
  readonly setup: HarbourSetup
  /** Outer corners of the patch grid, as they stand in the show file before rounding. */
  readonly corners: Quad
  readonly names: readonly string[]
  /** Renders the shot's frames; they differ in their noise. Nothing is kept, so that six shots need the room of one. */
  render(): readonly HarbourFrame[]
}
