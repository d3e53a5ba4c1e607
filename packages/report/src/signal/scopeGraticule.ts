import { bars75, decodeRgb, resolveEncoding, type Vec3, type YCbCr, ycbcrOfCode } from '@isochip/core'
import { codeOfLight } from './codeOfLight.ts'

const bt709 = resolveEncoding('bt709')

/**
 * Half the side of a target box in Cb and Cr. Two and a half percent of the range: tight enough to line cameras up
 * by, wide enough to be met. Common practice, no source; standards print the points, not the boxes.
 */
export const boxHalf = 0.025

/** Direction of the skin line from +Cb, degrees anticlockwise: 123°. Common practice, no source. */
export const skinDegrees = 123

/** What a linear map of BT.709 light makes of the six bars. */
export function barsThrough(map: (light: Vec3) => Vec3): YCbCr[] {
  return bars75.map(({ code }) => ycbcrOfCode(codeOfLight(map(decodeRgb(bt709, code)))))
}
