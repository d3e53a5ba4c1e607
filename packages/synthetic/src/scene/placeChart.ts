import { cos, pow, sin } from '@isochip/core'
import type { Quad } from '../picture/homography.ts'
import type { Lens } from '../picture/lens.ts'
import { cornersOf, type Pose } from '../picture/pose.ts'
import type { Random } from '../random.ts'

/** Left, top, right, bottom, pixels. */
export type Box = readonly [number, number, number, number]

export const boxOf = (quad: Quad): Box => [
  Math.min(...quad.map(([x]) => x)),
  Math.min(...quad.map(([, y]) => y)),
  Math.max(...quad.map(([x]) => x)),
  Math.max(...quad.map(([, y]) => y)),
]

export const overlaps = (a: Box, b: Box): boolean => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]

export interface Placement {
  readonly pose: Pose
  /** Corners of the patch grid before the lens bends them. */
  readonly corners: Quad
  /** What the grid covers in the picture, lens included. */
  readonly box: Box
}

/** A pose: any turn, up to 40° of perspective, 12 % to 100 % of the frame's width, some in a mirror. */
export function drawPose(r: Random, mirrored: boolean): Omit<Pose, 'centre'> {
  const kind = r.next()
  const rotation =
    kind < 0.35
      ? r.between(-12, 12)
      : kind < 0.55
        ? 90 * r.whole(1, 3) + r.between(-10, 10)
        : r.between(0, 360)
  const slant = pow(r.between(0, 1), 1.3) * 40
  const direction = r.between(0, 2 * Math.PI)
  return {
    size: 0.12 * pow(1 / 0.12, r.next()),
    rotation,
    tilt: slant * sin(direction),
    pan: slant * cos(direction),
    mirrored,
  }
}

/**
 * Finds a place for a chart so that its whole grid lies in the frame and off the places taken; it is made smaller where
 * it would not fit. `undefined` when there is no room.
 */
export function placeChart(
  r: Random,
  pose: Omit<Pose, 'centre'>,
  aspect: number,
  frame: { readonly width: number; readonly height: number },
  lens: Lens,
  taken: readonly Box[],
): Placement | undefined {
  const { width, height } = frame
  const border = 3
  let { size } = pose
  for (let attempt = 0; attempt < 60; attempt++) {
    const trial: Pose = { ...pose, size, centre: [0.5, 0.5] }
    const [left, top, right, bottom] = boxOf(cornersOf(trial, aspect, width, height))
    const spareX = (width - (right - left)) / width
    const spareY = (height - (bottom - top)) / height
    if (spareX < 0 || spareY < 0) {
      size *= 0.93
      continue
    }
    // The box is not centred on the pose's middle: perspective.
    const shiftX = 0.5 - (left + right) / 2 / width
    const shiftY = 0.5 - (top + bottom) / 2 / height
    const placed: Pose = {
      ...trial,
      centre: [0.5 + shiftX + r.between(-0.5, 0.5) * spareX, 0.5 + shiftY + r.between(-0.5, 0.5) * spareY],
    }
    const corners = cornersOf(placed, aspect, width, height)
    const [a, b, c, d] = corners
    const box = boxOf([lens.distort(a), lens.distort(b), lens.distort(c), lens.distort(d)])
    const inside =
      box[0] >= border && box[1] >= border && box[2] <= width - border && box[3] <= height - border
    if (inside && !taken.some((other) => overlaps(other, box))) return { pose: placed, corners, box }
    size = Math.max(size * 0.97, 0.12)
  }
  return undefined
}
