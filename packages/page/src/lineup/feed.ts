import type { Encoding } from '@isochip/core'
import type { Instruction, RoundWords } from '@isochip/report'

/** What the server tells of a line-up: all of it, whenever something has changed. */
export interface LineUpState {
  readonly title: string
  readonly setup: string
  /** What the cameras are lined up to, in words. */
  readonly target: string
  /** Mean ΔE00 of the show's tolerance. */
  readonly tolerance: number
  readonly cameras: readonly CameraState[]
  /** Of a simulation, whose cameras are turned from the page: what their panels say. */
  readonly simulation?: readonly PanelState[]
}

/** The panel of a simulated camera. */
export interface PanelState {
  readonly camera: string
  readonly controls: readonly { readonly name: string; readonly value: number; readonly unit: string }[]
}

export interface CameraState {
  readonly camera: string
  /** Are the others lined up to it? */
  readonly isTarget: boolean
  readonly encoding: Encoding['spec']
  readonly encodingText: string
  /** Absent before its first round. */
  readonly round?: RoundState
  /** What is wrong with its newest frame; its last good round stands. */
  readonly trouble?: { readonly message: string; readonly hint?: string }
  /** Its newest frame, for the scopes. */
  readonly pixels?: PixelsPlace
}

export interface RoundState {
  /** Counted from 1. */
  readonly number: number
  readonly verdict: RoundWords
  /** Mean ΔE00 of all shots, the newest last. */
  readonly trend: readonly number[]
  /** Mean ΔE00 that a LUT of this shot would leave. */
  readonly withLut: number
  /** What the advice rests on and is to be seen to before it: a doubtful encoding, a knee. */
  readonly first: readonly string[]
  readonly steps: readonly Instruction[]
  /** What else is to be known: cautions of this shot, and whether the camera was changed otherwise. */
  readonly notes: readonly string[]
}

/** Pixels as `thinFrame` of @isochip/frames gives them, little-endian, to be fetched from `path`. */
export interface PixelsPlace {
  readonly path: string
  readonly width: number
  readonly height: number
  readonly unit: number
}
