import { decodeRgb, resolveEncoding, type Vec3 } from '@isochip/core'
import { codeOfLight, type YCbCr, ycbcrOfCode } from './ycbcr.ts'

export type BarName = 'red' | 'yellow' | 'green' | 'cyan' | 'blue' | 'magenta'

const bt709 = resolveEncoding('bt709')

/** The six colours of 75 % colour bars (100/0/75/0, ITU-R BT.471) as R′G′B′, round the vectorscope. */
export const bars75: readonly { readonly name: BarName; readonly code: Vec3 }[] = [
  { name: 'red', code: [0.75, 0, 0] },
  { name: 'yellow', code: [0.75, 0.75, 0] },
  { name: 'green', code: [0, 0.75, 0] },
  { name: 'cyan', code: [0, 0.75, 0.75] },
  { name: 'blue', code: [0, 0, 0.75] },
  { name: 'magenta', code: [0.75, 0, 0.75] },
]

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
