import { apply3, type Mat3 } from '@isochip/core'

/** x to the right, y down, in pixels. */
export type Point = readonly [number, number]

/** Images of (0, 0), (1, 0), (1, 1), (0, 1), in this order. */
export type Quad = readonly [Point, Point, Point, Point]

/**
 * The projective map from the unit square to a quad, for column vectors (u, v, 1): P. S. Heckbert, Fundamentals of
 * Texture Mapping and Image Warping (1989), section 2.2.3.
 */
export function squareToQuad([p0, p1, p2, p3]: Quad): Mat3 {
  const ax = p1[0] - p2[0]
  const ay = p1[1] - p2[1]
  const bx = p3[0] - p2[0]
  const by = p3[1] - p2[1]
  const sx = p0[0] - p1[0] + p2[0] - p3[0]
  const sy = p0[1] - p1[1] + p2[1] - p3[1]
  const det = ax * by - bx * ay
  if (!(Math.abs(det) > 0)) throw new Error('three corners lie on a line')
  const g = (sx * by - bx * sy) / det
  const h = (ax * sy - sx * ay) / det
  return [
    [p1[0] - p0[0] + g * p1[0], p3[0] - p0[0] + h * p3[0], p0[0]],
    [p1[1] - p0[1] + g * p1[1], p3[1] - p0[1] + h * p3[1], p0[1]],
    [g, h, 1],
  ]
}

export function project(map: Mat3, [u, v]: Point): Point {
  const [x, y, w] = apply3(map, [u, v, 1])
  return [x / w, y / w]
}
