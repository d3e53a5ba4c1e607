import type {
  CameraMatch,
  Chart,
  Encoding,
  FitOptions,
  FittedMatch,
  PrimariesSpec,
  TargetSpec,
} from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import type * as shape from './data/reportShape.ts'

/** Limits on ΔE00 after the match: mean and worst of the patches that took part. */
export interface Tolerance extends Shape<typeof shape.tolerance> {}

/** A picture for the page. */
export interface Picture {
  /** `data:image/png;base64,…` or JPEG. 480 pixels across are enough; the page gets as heavy as its pictures. */
  readonly uri: string
  /** Pixels. */
  readonly width: number
  readonly height: number
}

/** Frames of one camera. Whatever is missing is left out of the page. */
export interface CameraPictures {
  /** The frame with the sampled areas drawn on it. */
  readonly sampling?: Picture
  /** The frame as it came, encoded for the screen (sRGB), without a match. */
  readonly before?: Picture
  /** The same frame through the match. Shown only together with `before`, and of the same size. */
  readonly after?: Picture
  /** The target camera's frame, of the same size. */
  readonly target?: Picture
}

/** What was written as a LUT, and by how much its interpolation differs from the match. */
export interface LutReport extends Shape<typeof shape.lutReport> {}

/** One camera in one setup: matched to the target, or the reference camera. */
export interface CameraReport {
  readonly camera: string
  readonly setup: string
  /** The setup whose match this is, where no chart was shot in this one. */
  readonly borrowed?: string
  readonly sourceEncoding: Encoding['spec']
  readonly outputEncoding: Encoding['spec']
  readonly match: CameraMatch
  readonly lut?: LutReport
  readonly pictures?: CameraPictures
}

/** A camera that was matched to the target. */
export interface FittedCamera extends CameraReport {
  readonly match: FittedMatch
}

export const isFitted = (camera: CameraReport): camera is FittedCamera => camera.match.kind === 'fitted'

export interface SetupReport {
  readonly setup: string
  readonly cameras: readonly CameraReport[]
}

/** A match that was asked for and could not be made. */
export interface FailedMatch extends Shape<typeof shape.failedMatch> {}

/** The rounds of a line-up, camera by camera. */
export interface LineUpReport extends Shape<typeof shape.lineUpReport> {}

/** An input file of the report. */
export interface InputFile extends Shape<typeof shape.inputFile> {}

/** A whole show, matched: everything that a report says is in here. No clock time: same input, same bytes. */
export interface ShowReport {
  readonly title: string
  readonly chart: Chart
  /** Primaries of all linear light in `setups`. */
  readonly working: PrimariesSpec
  readonly target: TargetSpec
  readonly tolerance: Tolerance
  /** On which light the colour differences are computed. */
  readonly view: 'scene' | 'display'
  readonly setups: readonly SetupReport[]
  /** How the cameras were lined up before the show, where they were. */
  readonly lineUp?: LineUpReport
  /** What is missing in `setups`, and why. */
  readonly failed?: readonly FailedMatch[]
  /** Version of isochip. */
  readonly version: string
  readonly inputs: readonly InputFile[]
  /** As asked for, for the record. */
  readonly fit?: FitOptions
}
