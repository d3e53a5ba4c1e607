import type { Point, Quad } from '../../geometry/homography.ts'

export function polygonArea(points: readonly Point[]): number {
  let twice = 0
  for (let i = 0; i < points.length; i++) {
    const [ax, ay] = points[i]!
    const [bx, by] = points[(i + 1) % points.length]!
    twice += ax * by - ay * bx
  }
  return Math.abs(twice) / 2
}

/**
 * A quad about a convex hull, by taking away the side whose removal adds the least area until four are left: its
 * neighbours are prolonged until they meet.
 *
 * @returns `undefined` when no four sides enclose the hull
 */
export function quadOfHull(hull: readonly Point[]): Quad | undefined {
  const points = [...hull]
  if (points.length < 4) return undefined
  while (points.length > 4) {
    const n = points.length
    let least = Number.POSITIVE_INFINITY
    let where = -1
    let corner: Point = [0, 0]
    for (let i = 0; i < n; i++) {
      // Side i runs from b to c; its neighbours are a→b and d→c.
      const a = points[(i + n - 1) % n]!
      const b = points[i]!
      const c = points[(i + 1) % n]!
      const d = points[(i + 2) % n]!
      const ux = b[0] - a[0]
      const uy = b[1] - a[1]
      const vx = c[0] - d[0]
      const vy = c[1] - d[1]
      const det = ux * vy - uy * vx
      // They meet beyond the side only if they turn towards each other.
      if (!(Math.abs(det) > 1e-9)) continue
      const t = ((c[0] - b[0]) * vy - (c[1] - b[1]) * vx) / det
      const s = ((c[0] - b[0]) * uy - (c[1] - b[1]) * ux) / det
      if (t < 0 || s < 0) continue
      const meet: Point = [b[0] + t * ux, b[1] + t * uy]
      const added = Math.abs((b[0] - meet[0]) * (c[1] - meet[1]) - (b[1] - meet[1]) * (c[0] - meet[0])) / 2
      if (added < least) {
        least = added
        where = i
        corner = meet
      }
    }
    if (where < 0) return undefined
    const next = (where + 1) % n
    points[where] = corner
    points.splice(next, 1)
  }
  const [a, b, c, d] = points
  return a && b && c && d && [a, b, c, d]
}
