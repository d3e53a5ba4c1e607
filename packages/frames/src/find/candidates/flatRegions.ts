import type { Point } from '../../geometry/homography.ts'

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
  /** More than so many are left out, the smallest first. Default none. */
  readonly most?: number
}

/**
 * Regions of pixels with a gradient under a threshold, 4-connected, in the order of their first pixels; those of another
 * size than the limits allow are left out. By the runs of such pixels in every row, which are far fewer than the pixels:
 * a run joins the regions of those above that it touches (A. Rosenfeld, J. L. Pfaltz, Sequential operations in digital
 * picture processing, Journal of the ACM 13, 1966).
 */
export function flatRegions(
  gradient: Float32Array,
  width: number,
  height: number,
  threshold: number,
  limits: RegionLimits,
): FlatRegion[] {
  const { from, to, first, rowStart, count } = joinedRuns(gradient, width, height, threshold)
  const area = new Int32Array(count)
  const sumX = new Float64Array(count)
  const sumY = new Float64Array(count)
  for (let y = 0; y < height; y++) {
    for (let run = rowStart[y]!; run < rowStart[y + 1]!; run++) {
      const length = to[run]! - from[run]!
      const region = first[run]!
      area[region]! += length
      sumX[region]! += (length * (from[run]! + to[run]! - 1)) / 2
      sumY[region]! += length * y
    }
  }
  const regions: number[] = []
  for (let run = 0; run < count; run++)
    if (first[run] === run && area[run]! >= limits.smallest && area[run]! <= limits.largest) regions.push(run)
  const { most = Number.POSITIVE_INFINITY } = limits
  if (regions.length > most) {
    regions.sort((a, b) => area[b]! - area[a]! || a - b)
    regions.length = most
    regions.sort((a, b) => a - b)
  }
  const outlines = new Map(regions.map((run): [number, Point[]] => [run, []]))
  for (let y = 0; y < height; y++) {
    for (let run = rowStart[y]!; run < rowStart[y + 1]!; run++) {
      const points = outlines.get(first[run]!)
      if (points === undefined) continue
      // Only the ends of a row matter for the hull, and of its runs the first has one and the last the other.
      if (points.at(-1)?.[1] === y + 1) points.splice(-2)
      else points.push([from[run]!, y], [from[run]!, y + 1])
      points.push([to[run]!, y], [to[run]!, y + 1])
    }
  }
  return [...outlines].map(([region, points]) => ({
    area: area[region]!,
    centre: [sumX[region]! / area[region]! + 0.5, sumY[region]! / area[region]! + 0.5],
    hull: convexHull(points),
  }))
}

interface JoinedRuns {
  readonly count: number
  /** Columns of each run, the end not included. */
  readonly from: Int32Array
  readonly to: Int32Array
  /** The first run of the region that it belongs to. */
  readonly first: Int32Array
  /** Of each row the number of its first run; one more at the end. */
  readonly rowStart: Int32Array
}

function joinedRuns(gradient: Float32Array, width: number, height: number, threshold: number): JoinedRuns {
  const most = Math.ceil(width / 2) * height
  const from = new Int32Array(most)
  const to = new Int32Array(most)
  const first = new Int32Array(most)
  const rowStart = new Int32Array(height + 1)
  let count = 0
  for (let y = 0; y < height; y++) {
    rowStart[y] = count
    let above = y === 0 ? 0 : rowStart[y - 1]!
    const end = count
    const row = y * width
    for (let x = 0; x < width; x++) {
      if (!(gradient[row + x]! < threshold)) continue
      const begin = x
      do x++
      while (x < width && gradient[row + x]! < threshold)
      from[count] = begin
      to[count] = x
      first[count] = count
      while (above < end && to[above]! <= begin) above++
      // The last that touches this one may touch the next as well.
      for (let other = above; other < end && from[other]! < x; other++) join(first, other, count)
      count++
    }
  }
  rowStart[height] = count
  for (let run = 0; run < count; run++) first[run] = first[first[run]!]!
  return { count, from, to, first, rowStart }
}

/** Of two regions the one whose first run comes later belongs to the other from now on. */
function join(first: Int32Array, a: number, b: number): void {
  const [one, other] = [root(first, a), root(first, b)]
  if (one < other) first[other] = one
  else first[one] = other
}

function root(first: Int32Array, run: number): number {
  let at = run
  while (first[at] !== at) {
    first[at] = first[first[at]!]!
    at = first[at]!
  }
  return at
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
