import { cos, sin } from '@isochip/core'
import type { Point, Quad } from './homography.ts'

/** How a flat thing stands before the camera. */
export interface Pose {
  /** Where its middle is, as fractions of the frame's width and height. */
  readonly centre: Point
  /** Its width as a fraction of the frame's width, were it seen straight on. */
  readonly size: number
  /** In the picture plane, degrees clockwise. */
  readonly rotation?: number
  /** Top edge away from the camera, degrees. */
  readonly tilt?: number
  /** Right edge away from the camera, degrees. */
  readonly pan?: number
  /** Seen in a mirror. */
  readonly mirrored?: boolean
}

const radians = Math.PI / 180

/**
 * The corners of a rectangle of the given aspect (width over height) in a frame, through a pinhole whose focal length
 * is 1.2 frame widths (about 45° of view across).
 */
export function cornersOf(pose: Pose, aspect: number, width: number, height: number): Quad {
  const focal = 1.2
  const [cosR, sinR] = [cos((pose.rotation ?? 0) * radians), sin((pose.rotation ?? 0) * radians)]
  const [cosT, sinT] = [cos((pose.tilt ?? 0) * radians), sin((pose.tilt ?? 0) * radians)]
  const [cosP, sinP] = [cos((pose.pan ?? 0) * radians), sin((pose.pan ?? 0) * radians)]
  const corner = (u: number, v: number): Point => {
    const flatX = (u - 0.5) * pose.size * (pose.mirrored ? -1 : 1)
    const flatY = ((v - 0.5) * pose.size) / aspect
    // Tilt and pan are about the chart's own axes, then the whole is turned in the picture.
    const y = flatY * cosT
    const depthT = -flatY * sinT
    const x = flatX * cosP - depthT * sinP
    const depth = flatX * sinP + depthT * cosP
    const scale = focal / (focal + depth)
    const turnedX = x * cosR - y * sinR
    const turnedY = x * sinR + y * cosR
    return [
      pose.centre[0] * width + turnedX * scale * width,
      pose.centre[1] * height + turnedY * scale * width,
    ]
  }
  return [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)]
}
