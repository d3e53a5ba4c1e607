import type { Range } from '@isochip/core'

/** How R′G′B′ and Y′CbCr of a video signal go together, and what its codes stand for. */
export interface SignalForm {
  readonly matrix: SignalMatrix
  readonly range: Range
}

export const signalMatrices = ['bt709', 'bt601', 'bt2020'] as const

export type SignalMatrix = (typeof signalMatrices)[number]

/**
 * Weights of R′, G′ and B′ in luma: ITU-R BT.709-6, item 3.2; BT.601-7, item 2.5.1; BT.2020-2, table 4 (non-constant
 * luminance).
 */
export const lumaOf: Readonly<Record<SignalMatrix, readonly [kr: number, kg: number, kb: number]>> = {
  bt709: [0.2126, 0.7152, 0.0722],
  bt601: [0.299, 0.587, 0.114],
  bt2020: [0.2627, 0.678, 0.0593],
}

/** Codes of 8 bits: where black lies, how far the peak is from it, and the reach of the colour differences (BT.709-6, item 4.6). */
export const codesOf = (range: Range) =>
  range === 'narrow'
    ? { black: 16, peak: 219, reach: 224, clip: { low: (1.25 - 16) / 219, high: (253.75 - 16) / 219 } }
    : { black: 0, peak: 255, reach: 255, clip: { low: 0.001, high: 0.998 } }

/** Coefficients of R′ = Y′ + r·C_R, G′ = Y′ − gr·C_R − gb·C_B, B′ = Y′ + b·C_B, for C_B and C_R −0.5…0.5. */
export function decodingOf(matrix: SignalMatrix) {
  const [kr, kg, kb] = lumaOf[matrix]
  const r = 2 * (1 - kr)
  const b = 2 * (1 - kb)
  return { r, gr: (r * kr) / kg, gb: (b * kb) / kg, b }
}
