import type { Vec3 } from '@isochip/core'

/** Light, interleaved R, G, B, row by row from the top; pixel (x, y) has its centre at (x + 0.5, y + 0.5). */
export interface Picture {
  readonly width: number
  readonly height: number
  readonly data: Float32Array
}

/** A picture of one colour. */
export function blankPicture(width: number, height: number, [r, g, b]: Vec3 = [0, 0, 0]): Picture {
  const data = new Float32Array(width * height * 3)
  for (let i = 0; i < data.length; i += 3) {
    data[i] = r
    data[i + 1] = g
    data[i + 2] = b
  }
  return { width, height, data }
}

/** Mean light of every seventh pixel: enough for veiling glare. */
export function meanLight({ data }: Picture): Vec3 {
  let r = 0
  let g = 0
  let b = 0
  let count = 0
  for (let i = 0; i < data.length; i += 21) {
    r += data[i]!
    g += data[i + 1]!
    b += data[i + 2]!
    count++
  }
  return [r / count, g / count, b / count]
}
