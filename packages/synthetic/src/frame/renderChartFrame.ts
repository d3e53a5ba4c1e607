import type { Chart } from '@isochip/core'
import { type Camera, readyCamera, type See } from '../camera/camera.ts'
import { develop, type RenderedFrame } from '../camera/develop.ts'
import type { Quad } from '../picture/homography.ts'
import { lens } from '../picture/lens.ts'
import { blankPicture, type Picture } from '../picture/picture.ts'
import { cornersOf, type Pose } from '../picture/pose.ts'
import { resize } from '../picture/resize.ts'
import type { Light } from '../spectrum/light.ts'
import { type ChartTruth, chartTruth } from './chartTruth.ts'
import { aspectOf, builtAs, type ChartLook, type PaintedChart, paintChart } from './paintChart.ts'

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
  readonly background?: number | ((see: See) => Picture)
  /** Starts the noise; default 1. */
  readonly seed?: number
}

export interface ChartFrame {
  readonly frame: RenderedFrame
  readonly truth: ChartTruth
}

/** A frame of a test chart as a camera would record it, and what is true of it. The same options give the same bytes. */
export function renderChartFrame(options: ChartFrameOptions): ChartFrame {
  return renderTakes(options, [options.seed ?? 1])[0]!
}

/** The same frame several times, each with noise of its own. */
export function renderTakes(options: ChartFrameOptions, seeds: readonly number[]): readonly ChartFrame[] {
  const { development } = readyCamera(options.camera, options.light, 0)
  const { picture, painted } = inFront(options)
  const truth = chartTruth(painted, picture, development)
  return seeds.map((seed) => ({
    frame: develop(picture, { ...development, noise: { ...development.noise, seed } }),
    truth,
  }))
}

/**
 * A camera that stays where it is while its settings change: what is in front of it is painted once.
 *
 * @param options of which the camera's sensor and the light that it is balanced for stay
 */
export function standingCamera(
  options: ChartFrameOptions,
): (settings: Omit<Camera, 'sensor' | 'balancedFor' | 'encoding'>, seed: number) => RenderedFrame {
  const { picture } = inFront(options)
  return (settings, seed) =>
    develop(picture, readyCamera({ ...options.camera, ...settings }, options.light, seed).development)
}

/** What the camera's sensor sees, before exposure. */
function inFront(options: ChartFrameOptions): { picture: Picture; painted: PaintedChart } {
  const { chart, width, height, background = 0.2 } = options
  const { see } = readyCamera(options.camera, options.light, 0)
  const diffuser = see()
  const picture =
    typeof background === 'number'
      ? blankPicture(width, height, [
          diffuser[0] * background,
          diffuser[1] * background,
          diffuser[2] * background,
        ])
      : resize(background(see), width, height)
  const glass = lens(options.distortion ?? 0, width, height)
  return { picture, painted: paintChart(picture, see, chart, placed(options), glass, options) }
}

/** The corners of the patch grid before the lens bends them. */
function placed({ chart, place, width, height, ...look }: ChartFrameOptions): Quad {
  return 'corners' in place ? place.corners : cornersOf(place, aspectOf(builtAs(chart, look)), width, height)
}

/** The outer corners of the patch grid as they come to stand in the frame, known without rendering it. */
export function chartCorners(options: ChartFrameOptions): Quad {
  const { distort } = lens(options.distortion ?? 0, options.width, options.height)
  const [a, b, c, d] = placed(options)
  return [distort(a), distort(b), distort(c), distort(d)]
}
