import { exp2, given, type Range, type Warning } from '@isochip/core'

/** Bits of a code value, or `'float'` where samples are no codes but levels. */
export type FrameBits = 8 | 10 | 12 | 14 | 16 | 'float'

/**
 * A picture as the file holds it: no colour management, no orientation, no range taken out.
 *
 * `data` is interleaved R, G, B, row by row from the top: sample `3 · (y · width + x) + channel`. Pixel (x, y)
 * covers x … x+1 and y … y+1, so its centre is at (x + 0.5, y + 0.5).
 */
export interface Frame {
  readonly width: number
  readonly height: number
  readonly data: Uint8Array | Uint16Array | Float32Array
  readonly bits: FrameBits
  /** The sample value that stands for the fraction 1: 2^bits − 1 for codes, 1 for `'float'`. */
  readonly codeScale: number
  /** Sample values at and beyond which the source clips, where they are not the ends of the code range. */
  readonly clip?: { readonly low: number; readonly high: number }
  /** Of a Y′CbCr clip: the range that was taken out because of its tag, or because it had none. */
  readonly taggedRange?: Range
  /** Samples are in proportion to light, whatever is declared: camera raw. */
  readonly linear?: boolean
  /** Of levels: difference between neighbouring codes of the source, where it is known. */
  readonly step?: number
  /** File that the frame comes from, if any. */
  readonly file?: string
}

/** A frame and what its reader has to say about the file. */
export interface DecodedFrame extends Frame {
  readonly warnings: readonly Warning[]
}

/** Largest code value of a depth; 1 for `'float'`. */
export const codeScaleOf = (bits: FrameBits): number => (bits === 'float' ? 1 : exp2(bits) - 1)

/**
 * A frame from samples at hand.
 *
 * @param data interleaved RGB, 3 · width · height samples
 * @throws RangeError when data and size do not agree: a fault of the calling code
 */
export function createFrame(
  width: number,
  height: number,
  data: Frame['data'],
  bits: FrameBits = data instanceof Uint8Array ? 8 : data instanceof Uint16Array ? 16 : 'float',
  file?: string,
): Frame {
  if (!Number.isInteger(width) || !Number.isInteger(height) || width < 1 || height < 1)
    throw new RangeError(`a frame of ${width} × ${height} pixels`)
  if (data.length !== 3 * width * height)
    throw new RangeError(`${data.length} samples for ${width} × ${height} RGB pixels`)
  return { width, height, data, bits, codeScale: codeScaleOf(bits), ...given({ file }) }
}

/**
 * The same picture at another depth, rounded to the nearest code and limited to the code range. Fractions stay:
 * the top code of one depth becomes the top code of the other. `'float'` frames get the fractions themselves.
 */
export function convertFrame(frame: Frame, bits: FrameBits): Frame {
  if (frame.bits === bits) return frame
  const scale = codeScaleOf(bits) / frame.codeScale
  const { data, width, height, file } = frame
  if (bits === 'float') {
    const out = new Float32Array(data.length)
    for (let i = 0; i < data.length; i++) out[i] = data[i]! * scale
    return createFrame(width, height, out, bits, file)
  }
  const top = codeScaleOf(bits)
  const out = bits === 8 ? new Uint8Array(data.length) : new Uint16Array(data.length)
  for (let i = 0; i < data.length; i++) {
    // NaN passes both limits and is stored as 0: an integer picture has no other word for it.
    out[i] = Math.max(0, Math.min(top, Math.round(data[i]! * scale)))
  }
  return createFrame(width, height, out, bits, file)
}
