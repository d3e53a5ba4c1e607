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
  /** Those that fill less of their convex hull are left out. Default none. */
  readonly hullFill?: number
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
  room: RoomForRuns = roomForRuns(width, height),
): FlatRegion[] {
  const { from, to, first, rowStart, area, lastRow } = room
  const count = joinRuns(gradient, width, height, threshold, room)
  area.fill(0, 0, count)
  for (let y = 0; y < height; y++) {
    for (let run = rowStart[y]!; run < rowStart[y + 1]!; run++) {
      const region = first[run]!
      area[region]! += to[run]! - from[run]!
      lastRow[region] = y
    }
  }
  const { smallest, largest, most = Number.POSITIVE_INFINITY, hullFill = 0 } = limits
  const regions: number[] = []
  for (let run = 0; run < count; run++)
    if (first[run] === run && area[run]! >= smallest && area[run]! <= largest) regions.push(run)
  if (regions.length > most) {
    regions.sort((a, b) => area[b]! - area[a]! || a - b)
    regions.length = most
    regions.sort((a, b) => a - b)
  }
  // Of every region where each of its rows begins and ends: it has pixels in all rows from its first to its last.
  const firstRow = new Int32Array(regions.length)
  const { offset, place } = room
  offset.fill(none, 0, count)
  let rows = 0
  for (let k = 0, y = 0; k < regions.length; k++) {
    const run = regions[k]!
    while (rowStart[y + 1]! <= run) y++
    firstRow[k] = y
    offset[run] = rows - y
    place[run] = k
    rows += lastRow[run]! + 1 - y
  }
  // Most of the runs belong to regions that are too small: what is summed is of the others alone.
  const sumX = new Float64Array(regions.length)
  const sumY = new Float64Array(regions.length)
  const left = new Int32Array(rows)
  const right = new Int32Array(rows)
  for (let y = 0; y < height; y++) {
    for (let run = rowStart[y]!; run < rowStart[y + 1]!; run++) {
      const region = first[run]!
      if (offset[region] === none) continue
      const at = offset[region]! + y
      const length = to[run]! - from[run]!
      const k = place[region]!
      sumX[k]! += (length * (from[run]! + to[run]! - 1)) / 2
      sumY[k]! += length * y
      // Runs of a row come from left to right.
      if (right[at] === 0) left[at] = from[run]!
      right[at] = to[run]!
    }
  }
  const hull = new HullOfRows(height)
  return regions.flatMap((run, k): FlatRegion[] => {
    const top = firstRow[k]!
    const begin = offset[run]! + top
    const end = begin + lastRow[run]! + 1 - top
    const hullArea = hull.take(left.subarray(begin, end), right.subarray(begin, end), top)
    if (area[run]! < hullFill * hullArea) return []
    return [
      {
        area: area[run]!,
        centre: [sumX[k]! / area[run]! + 0.5, sumY[k]! / area[run]! + 0.5],
        hull: hull.points(),
      },
    ]
  })
}

/** Of a region that is left out. */
const none = -(2 ** 31)

/** Arrays as long as a picture of a size may need, used for one threshold after the other. */
export interface RoomForRuns {
  /** Columns of each run, the end not included. */
  readonly from: Int32Array
  readonly to: Int32Array
  /** The first run of the region that it belongs to. */
  readonly first: Int32Array
  /** Of each row the number of its first run; one more at the end. */
  readonly rowStart: Int32Array
  /** Of regions, by their first run: pixels, the last row, where their rows are kept, and their own place. */
  readonly area: Int32Array
  readonly lastRow: Int32Array
  readonly offset: Int32Array
  readonly place: Int32Array
}

export function roomForRuns(width: number, height: number): RoomForRuns {
  const most = Math.ceil(width / 2) * height
  const runs = () => new Int32Array(most)
  return {
    from: runs(),
    to: runs(),
    first: runs(),
    rowStart: new Int32Array(height + 1),
    area: runs(),
    lastRow: runs(),
    offset: runs(),
    place: runs(),
  }
}

/** @returns how many runs there are */
function joinRuns(
  gradient: Float32Array,
  width: number,
  height: number,
  threshold: number,
  { from, to, first, rowStart }: RoomForRuns,
): number {
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
  return count
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

/**
 * Convex hulls of figures made of rows of pixels, in one place of memory: of most regions no more than the hull's area is
 * asked for. A monotone chain (A. M. Andrew, Another efficient algorithm for convex hulls in two dimensions, Information
 * Processing Letters 9, 1979) down the right side and up the left one, no three points on a line.
 */
class HullOfRows {
  readonly #x: Int32Array
  readonly #y: Int32Array
  #count = 0

  constructor(height: number) {
    this.#x = new Int32Array(4 * height + 4)
    this.#y = new Int32Array(4 * height + 4)
  }

  /** @returns area of the hull */
  take(left: Int32Array, right: Int32Array, top: number): number {
    const rows = left.length
    this.#count = 0
    for (let k = 0; k < rows; k++) {
      this.#add(right[k]!, top + k, 0)
      this.#add(right[k]!, top + k + 1, 0)
    }
    const side = this.#count
    for (let k = rows - 1; k >= 0; k--) {
      this.#add(left[k]!, top + k + 1, side)
      this.#add(left[k]!, top + k, side)
    }
    const [x, y, n] = [this.#x, this.#y, this.#count]
    let twice = 0
    for (let k = 0, last = n - 1; k < n; last = k++) twice += x[last]! * y[k]! - y[last]! * x[k]!
    return twice / 2
  }

  /** Clockwise as seen with y down, from the leftmost one, of several the uppermost. */
  points(): Point[] {
    const [x, y, n] = [this.#x, this.#y, this.#count]
    let start = 0
    for (let k = 1; k < n; k++) if (x[k]! < x[start]! || (x[k] === x[start] && y[k]! < y[start]!)) start = k
    return Array.from({ length: n }, (_, k): Point => [x[(start + k) % n]!, y[(start + k) % n]!])
  }

  #add(px: number, py: number, from: number): void {
    const [x, y] = [this.#x, this.#y]
    let n = this.#count
    while (
      n >= from + 2 &&
      (x[n - 1]! - x[n - 2]!) * (py - y[n - 2]!) - (y[n - 1]! - y[n - 2]!) * (px - x[n - 2]!) <= 0
    )
      n--
    x[n] = px
    y[n] = py
    this.#count = n + 1
  }
}
