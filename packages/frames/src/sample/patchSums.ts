import type { Vec3 } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import type { AreaBox } from './area/areaBox.ts'
import type { ClipLimits } from './clipLimits.ts'
import type { LightSlopes } from './patchLight.ts'
import { gate, type PatchPlane } from './patchPlane.ts'

/** Blocks along each side of the area, for the standard error. */
const blocks = 6

/** What the pixels add up to that belong to a patch. */
export interface PatchSums {
  readonly used: number
  /** Of all pixels of the area. */
  readonly clipped: number
  /** Squares of the distances from the plane. */
  readonly squares: Vec3
  /** Light and its squares; zeros where it was not asked for. */
  readonly light: Vec3
  readonly lightSquares: Vec3
  /** By block: number of pixels, and the sums of their distances from the plane, red, green, blue. */
  readonly blockCount: Float64Array
  readonly blockSum: Float64Array
}

/**
 * Adds up the pixels of an area: the inner loop of every frame that is read.
 *
 * @param inLight every pixel's light, and the curve about it, where distances are to be judged in light
 */
export function patchSums(
  { data, width }: Frame,
  runs: Int32Array,
  { x0, x1, y0, y1, midX, midY }: AreaBox,
  { low, high }: ClipLimits,
  { level, slopeX, slopeY, scale }: PatchPlane,
  inLight?: { readonly lights: Float64Array; readonly slopes: LightSlopes },
): PatchSums {
  const blockCount = new Float64Array(blocks * blocks)
  const blockSum = new Float64Array(3 * blocks * blocks)
  // Held by names of their own: an engine keeps them in registers.
  const lights = inLight?.lights
  const [l0, l1, l2] = level
  const [ax0, ax1, ax2] = slopeX
  const [ay0, ay1, ay2] = slopeY
  const [g0, g1, g2] = [gate * scale[0], gate * scale[1], gate * scale[2]]
  const [m0, m1, m2] = inLight?.slopes.light ?? zeros
  const [k0, k1, k2] = inLight?.slopes.slope ?? zeros
  const [h0, h1, h2] = inLight?.slopes.reach ?? zeros
  const columnBlock = new Uint8Array(x1 - x0)
  for (let x = 0; x < columnBlock.length; x++) columnBlock[x] = Math.floor((x * blocks) / (x1 - x0))
  let used = 0
  let clipped = 0
  let q0 = 0
  let q1 = 0
  let q2 = 0
  let s0 = 0
  let s1 = 0
  let s2 = 0
  let ss0 = 0
  let ss1 = 0
  let ss2 = 0
  let pixel = -3
  for (let r = 0; r < runs.length; r += 3) {
    const y = runs[r]!
    const from = runs[r + 1]!
    const to = runs[r + 2]!
    const base0 = l0 + ay0 * (y - midY)
    const base1 = l1 + ay1 * (y - midY)
    const base2 = l2 + ay2 * (y - midY)
    const rowBlock = blocks * Math.floor(((y - y0) * blocks) / (y1 - y0))
    for (let x = from, at = 3 * (y * width + from); x < to; x++, at += 3) {
      pixel += 3
      const v0 = data[at]!
      const v1 = data[at + 1]!
      const v2 = data[at + 2]!
      if (!(v0 > low && v1 > low && v2 > low && v0 < high && v1 < high && v2 < high)) clipped++
      const d0 = v0 - base0 - ax0 * (x - midX)
      const d1 = v1 - base1 - ax1 * (x - midX)
      const d2 = v2 - base2 - ax2 * (x - midX)
      // Written so that NaN and infinities fail.
      if (lights !== undefined) {
        const e0 = lights[pixel]!
        const e1 = lights[pixel + 1]!
        const e2 = lights[pixel + 2]!
        const within =
          Math.abs(e0 - m0 - k0 * (v0 - d0 - l0)) <= h0 &&
          Math.abs(e1 - m1 - k1 * (v1 - d1 - l1)) <= h1 &&
          Math.abs(e2 - m2 - k2 * (v2 - d2 - l2)) <= h2
        if (!within) continue
        s0 += e0
        s1 += e1
        s2 += e2
        ss0 += e0 * e0
        ss1 += e1 * e1
        ss2 += e2 * e2
      } else if (!(d0 <= g0 && d0 >= -g0 && d1 <= g1 && d1 >= -g1 && d2 <= g2 && d2 >= -g2)) continue
      used++
      q0 += d0 * d0
      q1 += d1 * d1
      q2 += d2 * d2
      const block = rowBlock + columnBlock[x - x0]!
      blockCount[block]!++
      blockSum[3 * block]! += d0
      blockSum[3 * block + 1]! += d1
      blockSum[3 * block + 2]! += d2
    }
  }
  return {
    used,
    clipped,
    squares: [q0, q1, q2],
    light: [s0, s1, s2],
    lightSquares: [ss0, ss1, ss2],
    blockCount,
    blockSum,
  }
}

const zeros: Vec3 = [0, 0, 0]
