import type { CameraMatch, Chart, Encoding, FitOptions, PrimariesSpec, TargetSpec } from '@isochip/core'

/** Limits on ΔE00 after the match, in the units of the show file's `tolerance`. */
export interface Tolerance {
  readonly mean: number
  readonly max: number
}

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
export interface LutReport {
  /** Paths relative to the report. */
  readonly files: readonly string[]
  /** Lattice points per axis; absent where nothing was sampled, as in a file that holds the steps of the match. */
  readonly size?: number
  /** ΔE00 between the exact match and the interpolated LUT. */
  readonly interpolation?: { readonly mean: number; readonly max: number }
  /**
   * What a LUT box makes of it that stores integers, and so cuts the nodes to 0…1: largest change of a channel in codes
   * of 10 bits, and share of the inputs that change by more than four. Absent where no node is beyond 0…1.
   */
  readonly integers?: { readonly worst: number; readonly share: number }
}

/** One camera in one setup. */
export interface CameraReport {
  readonly camera: string
  readonly setup: string
  /** Is this the reference camera, which the others are matched to? */
  readonly isTarget: boolean
  /** The setup whose match this is, where no chart was shot in this one. */
  readonly borrowed?: string
  readonly sourceEncoding: Encoding['spec']
  readonly outputEncoding: Encoding['spec']
  readonly match: CameraMatch
  readonly lut?: LutReport
  readonly pictures?: CameraPictures
}

export interface SetupReport {
  readonly setup: string
  readonly cameras: readonly CameraReport[]
}

/** A match that was asked for and could not be made. */
export interface FailedMatch {
  readonly camera: string
  readonly setup: string
  /** Why, in words. */
  readonly message: string
}

/** A file that the report rests on. */
export interface InputFile {
  /** As in the show file, or relative to it. */
  readonly path: string
  /** Hexadecimal. */
  readonly sha256: string
  readonly camera?: string
  readonly setup?: string
}

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
  /** What is missing in `setups`, and why. */
  readonly failed?: readonly FailedMatch[]
  /** Version of isochip. */
  readonly version: string
  readonly inputs: readonly InputFile[]
  /** As asked for, for the record. */
  readonly fit?: FitOptions
}
