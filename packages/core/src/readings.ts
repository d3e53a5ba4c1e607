import type { patchReading, readings } from './shape/readings.ts'
import type { Shape } from './shape/shape.ts'

/** What a frame says of one patch. */
export interface PatchReading extends Shape<typeof patchReading> {}

/** The readings of one chart in one setup of one camera. */
export interface Readings extends Shape<typeof readings> {}
