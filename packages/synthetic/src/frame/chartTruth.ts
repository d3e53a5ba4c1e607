import { type Chart, fractionFromNominal, type Vec3 } from '@isochip/core'
import { type Development, developPoint } from '../camera/develop.ts'
import type { Point, Quad } from '../picture/homography.ts'
import type { Picture } from '../picture/picture.ts'
import type { PaintedChart } from './paintChart.ts'

/** What is true of one patch of a rendered frame. */
export interface PatchTruth {
  readonly patch: string
  readonly centre: Point
  /** Noise-free linear light at the centre, in the primaries of the camera's encoding. */
  readonly light: Vec3
  /** Noise-free nominal code values at the centre; outside 0…1 where the camera clips. */
  readonly code: Vec3
  /** A channel is above 99.5 % of the code range, or below its foot. */
  readonly clipped: boolean
  /** A mirrored lamp adds more than 1 % of white somewhere on the patch. */
  readonly glare: boolean
}

export interface ChartTruth {
  readonly chart: Chart
  readonly corners: Quad
  readonly patches: readonly PatchTruth[]
}

/** What is true of a painted chart once the picture is developed. */
export function chartTruth(painted: PaintedChart, picture: Picture, development: Development): ChartTruth {
  const { encoding, bits } = development
  const point = developPoint(picture, development)
  return {
    chart: painted.chart,
    corners: painted.corners,
    patches: painted.patches.map(({ patch, centre, seen, glare }): PatchTruth => {
      const { light, code } = point(centre, seen)
      const clips = (nominal: number) => {
        const fraction = fractionFromNominal(nominal, encoding.range, bits)
        return fraction > 0.995 || fraction < 0
      }
      return { patch, centre, light, code, clipped: code.some(clips), glare: glare > 0.01 }
    }),
  }
}
