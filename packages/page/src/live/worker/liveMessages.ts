import type { LatticeLut } from '@isochip/export'
import type { ScopeStandard } from '../../scopes/standard.ts'
import type { BarsVerdict } from '../form/checkBars.ts'
import type { SignalForm } from '../form/signalForm.ts'

/** Levels of a running input: the mean of some frames. */
export interface Grab {
  readonly width: number
  readonly height: number
  /** Nominal R′G′B′, row by row: 0 is black, 1 the peak; float32, kept by the browser outside the page's memory. */
  readonly levels: Blob
  /** Levels at and beyond which the signal clips. */
  readonly clip: { readonly low: number; readonly high: number }
  /** Difference between neighbouring codes. */
  readonly step: number
}

/** To the worker of an input. */
export type LiveAsk =
  | { readonly kind: 'frame'; readonly frame: VideoFrame }
  | { readonly kind: 'form'; readonly form: SignalForm }
  | { readonly kind: 'average'; readonly count: number }
  | { readonly kind: 'bars' }
  | { readonly kind: 'scopes'; readonly canvas: OffscreenCanvas }
  | { readonly kind: 'standard'; readonly standard: ScopeStandard; readonly matched: boolean }
  | { readonly kind: 'preview'; readonly canvas: OffscreenCanvas }
  /** Without one there is nothing to look through. */
  | { readonly kind: 'lattice'; readonly lattice?: LatticeLut }

/** How fast frames are drawn. */
export interface Pace {
  /** Frames drawn a second. */
  readonly shown: number
  /** Frames drawn since the input was opened. */
  readonly frames: number
  /** Every so many pixels and lines are on the scopes. */
  readonly step: number
}

/** What an input delivers, before anything is known of it but what the browser says. */
export interface Delivered {
  readonly kind: 'ycbcr' | 'rgb'
  readonly width: number
  readonly height: number
  readonly bits: number
}

/** From the worker of an input. */
export type LiveTold =
  /** A frame is done; the next can come. */
  | { readonly kind: 'done'; readonly delivered: Delivered }
  | { readonly kind: 'averaged'; readonly grab: Grab; readonly frames: number }
  | { readonly kind: 'bars'; readonly verdict: BarsVerdict | undefined }
  | { readonly kind: 'pace'; readonly pace: Pace }
  | { readonly kind: 'trouble'; readonly message: string }
