/** The samples of a video frame as they came, plane by plane: Y′, C_B, C_R, or R′, G′, B′. Codes of `bits` bits, or their means. */
export interface Planes {
  readonly kind: 'ycbcr' | 'rgb'
  readonly width: number
  readonly height: number
  readonly bits: number
  readonly samples: readonly [Samples, Samples, Samples]
  /** Pixels that share a sample of the second and third plane, across and down; 1 of R′G′B′. */
  readonly across: number
  readonly down: number
}

export type Samples = Uint8Array | Uint16Array | Float32Array
