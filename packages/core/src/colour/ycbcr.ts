import type { Vec3 } from '../linear/mat3.ts'

/** Luma 0…1 and colour difference signals −0.5…0.5. */
export interface YCbCr {
  readonly y: number
  readonly cb: number
  readonly cr: number
}

/** Weights of R′, G′ and B′ in luma: ITU-R BT.709-6, item 3.2. */
const luma: Vec3 = [0.2126, 0.7152, 0.0722]

/** R′G′B′ (0…1) → Y′CbCr: ITU-R BT.709-6, items 3.2 and 3.3, whose divisors are 1.8556 and 1.5748. */
export function ycbcrOfCode([r, g, b]: Vec3): YCbCr {
  const y = luma[0] * r + luma[1] * g + luma[2] * b
  return { y, cb: (b - y) / (2 * (1 - luma[2])), cr: (r - y) / (2 * (1 - luma[0])) }
}
