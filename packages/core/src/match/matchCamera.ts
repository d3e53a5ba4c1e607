import type { Chart } from '../chart/chart.ts'
import type { Primaries } from '../colour/primaries.ts'
import type { Encoding } from '../encoding/encoding.ts'
import type { Readings } from '../readings.ts'
import type { FitOptions } from './options.ts'
import type { CameraMatch } from './result.ts'
import type { Target } from './target.ts'

/** What one camera says of a chart, and where it is to go. */
export interface MatchInput {
  readonly chart: Chart
  readonly readings: Readings
  readonly encoding: Encoding
  readonly target: Target
  readonly working: Primaries
}

/** Fit one camera in one setup to its target. */
export function matchCamera(_input: MatchInput, _options: FitOptions = {}): CameraMatch {
  throw new Error('being written')
}
