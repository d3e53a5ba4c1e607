import { hypot, type Mat3 } from '@isochip/core'

/** x to the right, y down. */
export type Point = readonly [x: number, y: number]

export type Quad = readonly [Point, Point, Point, Point]

/** Each corner by a function. */
export const mapQuad = ([a, b, c, d]: Quad, of: (corner: Point) => Point): Quad => [
  of(a),
  of(b),
  of(c),
  of(d),
]

/**
 * The plane projective map that takes the unit square onto a quad: (0,0), (1,0), (1,1), (0,1) go to its points in
 * order. Closed form after P. S. Heckbert, Fundamentals of Texture Mapping and Image Warping (1989), section 2.2.3.
 *
 * @returns row-major 3×3 for column vectors (x, y, 1); `undefined` when three of the points lie on a line
 */
export function homographyFromUnitSquare(quad: Quad): Mat3 | undefined {
  const [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = quad
  const dx1 = x1 - x2
  const dx2 = x3 - x2
  const dy1 = y1 - y2
  const dy2 = y3 - y2
  const sx = x0 - x1 + x2 - x3
  const sy = y0 - y1 + y2 - y3
  const det = dx1 * dy2 - dx2 * dy1
  const size = hypot(dx1, dy1) * hypot(dx2, dy2)
  if (!(Math.abs(det) > 1e-9 * size)) return undefined
  const g = (sx * dy2 - dx2 * sy) / det
  const h = (dx1 * sy - sx * dy1) / det
  const map: Mat3 = [
    [x1 - x0 + g * x1, x3 - x0 + h * x3, x0],
    [y1 - y0 + g * y1, y3 - y0 + h * y3, y0],
    [g, h, 1],
  ]
  // A corner on the far side of the horizon: the quad is not convex.
  if (!(1 + g > 0 && 1 + h > 0 && 1 + g + h > 0)) return undefined
  return map
}

/** A point through a plane projective map. Points on the map's horizon come out infinite. */
export function project(map: Mat3, x: number, y: number): Point {
  const w = onRow(map, 2, x, y)
  return [onRow(map, 0, x, y) / w, onRow(map, 1, x, y) / w]
}

/** One coordinate of such a point before the division by the third. */
export function onRow(map: Mat3, row: 0 | 1 | 2, x: number, y: number): number {
  const of = map[row]
  return of[0] * x + of[1] * y + of[2]
}
