import type { Chart } from '@isochip/core'
import { type Camera, readyCamera } from '../camera/camera.ts'
import { develop, type RenderedFrame } from '../camera/develop.ts'
import type { Quad } from '../picture/homography.ts'
import { lens } from '../picture/lens.ts'
import { blankPicture, type Picture } from '../picture/picture.ts'
import { cornersOf, type Pose } from '../picture/pose.ts'
import { resize } from '../picture/resize.ts'
import type { Spectrum } from '../spectrum/grid.ts'
import type { Light } from '../spectrum/light.ts'
import { type ChartTruth, chartTruth } from './chartTruth.ts'
import { builtAs, type ChartLook, paintChart } from './paintChart.ts'

export interface ChartFrameOptions extends ChartLook {
  readonly chart: Chart
  readonly width: number
  readonly height: number
  /** Where the chart is: its pose, or the outer corners of its patch grid (before the lens bends them). */
  readonly place: Pose | { readonly corners: Quad }
  readonly camera: Camera
  readonly light: Light
  /** Radial distortion: see `Lens`; default 0. */
  readonly distortion?: number
  /**
   * What stands behind the chart: a picture made of the colours that the camera sees, at any size; or the reflectance
   * of a grey wall. Default 0.2.
   */
  readonly background?:
    | number
    | ((see: (reflectance?: Spectrum) => readonly [number, number, number]) => Picture)
  /** Starts the noise; default 1. */
  readonly seed?: number
}

export interface ChartFrame {
  readonly frame: RenderedFrame
  readonly truth: ChartTruth
}

/** A frame of a test chart as a camera would record it, and what is true of it. The same options give the same bytes. */
export function renderChartFrame(options: ChartFrameOptions): ChartFrame {
  const { chart, width, height, place, background = 0.2 } = options
  const camera = readyCamera(options.camera, options.light, options.seed ?? 1)
  const glass = lens(options.distortion ?? 0, width, height)
  const corners =
    'corners' in place
      ? place.corners
      : cornersOf(place, builtAs(chart, options).geometry.aspect, width, height)
  const diffuser = camera.see()
  const picture =
    typeof background === 'number'
      ? blankPicture(width, height, [
          diffuser[0] * background,
          diffuser[1] * background,
          diffuser[2] * background,
        ])
      : resize(background(camera.see), width, height)
  const painted = paintChart(picture, camera, chart, corners, glass, options)
  return {
    frame: develop(picture, camera.development),
    truth: chartTruth(painted, picture, camera.development),
  }
}
