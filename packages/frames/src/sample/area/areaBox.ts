/** Upright box of an area, ends not included, its middle, and how many of its pixels are the area's. */
export interface AreaBox {
  readonly x0: number
  readonly x1: number
  readonly y0: number
  readonly y1: number
  readonly midX: number
  readonly midY: number
  readonly total: number
}

/** @param runs `[y, from, to)` one after the other, from above to below */
export function boxOf(runs: Int32Array): AreaBox {
  let total = 0
  let x0 = Number.POSITIVE_INFINITY
  let x1 = 0
  for (let r = 0; r < runs.length; r += 3) {
    total += runs[r + 2]! - runs[r + 1]!
    x0 = Math.min(x0, runs[r + 1]!)
    x1 = Math.max(x1, runs[r + 2]!)
  }
  const y0 = runs[0] ?? 0
  const y1 = (runs[runs.length - 3] ?? -1) + 1
  return { x0, x1, y0, y1, midX: (x0 + x1 - 1) / 2, midY: (y0 + y1 - 1) / 2, total }
}
