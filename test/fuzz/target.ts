import type { Draw } from './mutate/draw.ts'

/** How the bytes of an input are built, so that they can be changed where it matters. */
export type InputKind = 'text' | 'json' | 'yaml' | 'xml' | 'binary'

/** Something of ours that reads what others wrote. */
export interface Target {
  readonly name: string
  readonly kind: InputKind
  /** Inputs as they should be, of which the others are made. */
  readonly samples: (folder: string) => Promise<readonly Uint8Array[]>
  /** Changes one of them where its kind does not say how: what knows more of it. */
  readonly change?: (bytes: Uint8Array, draw: Draw, samples: readonly Uint8Array[]) => Uint8Array
  /**
   * Reads an input.
   *
   * @param folder of its own, empty, gone afterwards
   * @returns what came of it: no number in it may be NaN
   */
  readonly run: (bytes: Uint8Array, folder: string) => Promise<unknown>
  /** MB that one input may take beyond what the process had; default `limits.megabytes`. */
  readonly megabytes?: number
  /** How often it is drawn, beside others; default 1. What takes long is drawn seldom. */
  readonly share?: number
}
