import type { Point } from '../geometry/homography.ts'

/** Connected pixels without edges between them. */
export interface FlatRegion {
  readonly area: number
  readonly centre: Point
  /** Convex hull, clockwise as seen (y down). */
  readonly hull: readonly Point[]
}

export interface RegionLimits {
  readonly smallest: number
  readonly largest: number
}

/**
 * Regions of pixels with a gradient under a threshold, 4-connected. Regions whose bounding box is far larger than
 * their area (nets, frames round something) are left out unmeasured.
 */
export function flatRegions(
  gradient: Float32Array,
  width: number,
  height: number,
  threshold: number,
  limits: RegionLimits,
): FlatRegion[] {
  const seen = new Uint8Array(width * height)
  const stack = new Int32Array(width * height)
  const regions: FlatRegion[] = []
  const left = new Int32Array(height)
  const right = new Int32Array(height)
  for (let start = 0; start < seen.length; start++) {
    if (seen[start] === 1 || gradient[start]! >= threshold) continue
    let depth = 0
    let area = 0
    let sx = 0
    let sy = 0
    let top = height
    let bottom = -1
    stack[depth++] = start
    seen[start] = 1
    const startRow = Math.floor(start / width)
    let filled = startRow - 1
    while (depth > 0) {
      const at = stack[--depth]!
      const y = Math.floor(at / width)
      const x = at - y * width
      area++
      sx += x
      sy += y
      if (y < top) top = y
      if (y > bottom) bottom = y
      // Scan order makes the first row the top one, so rows open downwards only.
      while (filled < y) {
        filled++
        left[filled] = width
        right[filled] = -1
      }
      if (x < left[y]!) left[y] = x
      if (x > right[y]!) right[y] = x
      if (x > 0 && seen[at - 1] === 0 && gradient[at - 1]! < threshold) {
        seen[at - 1] = 1
        stack[depth++] = at - 1
      }
      if (x < width - 1 && seen[at + 1] === 0 && gradient[at + 1]! < threshold) {
        seen[at + 1] = 1
        stack[depth++] = at + 1
      }
      if (y > 0 && seen[at - width] === 0 && gradient[at - width]! < threshold) {
        seen[at - width] = 1
        stack[depth++] = at - width
      }
      if (y < height - 1 && seen[at + width] === 0 && gradient[at + width]! < threshold) {
        seen[at + width] = 1
        stack[depth++] = at + width
      }
    }
    if (area < limits.smallest || area > limits.largest) continue
    const points: Point[] = []
    for (let y = top; y <= bottom; y++)
      points.push([left[y]!, y], [left[y]!, y + 1], [right[y]! + 1, y], [right[y]! + 1, y + 1])
    regions.push({ area, centre: [sx / area + 0.5, sy / area + 0.5], hull: convexHull(points) })
  }
  return regions
}

/** Andrew's monotone chain; clockwise as seen with y down, no three points on a line. */
function convexHull(points: readonly Point[]): Point[] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1])
  const turn = (o: Point, a: Point, b: Point) => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])
  const half = (list: readonly Point[]) => {
    const chain: Point[] = []
    for (const point of list) {
      while (chain.length >= 2 && turn(chain.at(-2)!, chain.at(-1)!, point) <= 0) chain.pop()
      chain.push(point)
    }
    chain.pop()
    return chain
  }
  return [...half(sorted), ...half(sorted.reverse())]
}
