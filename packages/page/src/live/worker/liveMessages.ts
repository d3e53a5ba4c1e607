import type { BarsVerdict } from '../checkBars.ts'
import type { SignalForm } from '../signalForm.ts'

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
  | { readonly kind: 'trouble'; readonly message: string }
