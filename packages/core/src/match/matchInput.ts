import type { Chart } from '../chart/chart.ts'
import type { Primaries } from '../colour/primaries.ts'
import type { Encoding } from '../encoding/encoding.ts'
import type { Readings } from '../readings.ts'
import type { Target } from '../target/target.ts'

/** What one camera says of a chart, and where it is to go. */
export interface MatchInput {
  /** Which patches there are, where, and what they are worth. */
  readonly chart: Chart
  /** Code values of the patches, as fractions of the full range; patches may be missing. */
  readonly readings: Readings
  /** How the camera recorded: what turns code values into its linear light. */
  readonly encoding: Encoding
  /** By patch: linear light in `working`. */
  readonly target: Target
  /** The primaries in which the match delivers linear light. */
  readonly working: Primaries
}
