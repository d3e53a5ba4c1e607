import type { ShowCorners } from '@isochip/show'
import type { Area } from '../match/area.ts'

/** Where the chart is in a running picture, in its pixels. */
export interface Sight {
  readonly width: number
  readonly height: number
  readonly corners: ShowCorners
  readonly areas: readonly Area[]
}
