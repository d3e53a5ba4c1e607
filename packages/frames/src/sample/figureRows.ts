import type { Point } from '../geometry/homography.ts'

/**
 * The pixels whose centres lie in a convex figure, as a quad, as runs `[y, from, to)` of a flat array. Pixels outside the frame
 * are left out; a centre on the left or upper edge belongs to it, one on the right or lower edge does not.
 */
export function figureRows(figure: readonly Point[], width: number, height: number): Int32Array {
  const xs = figure.map(([x]) => x)
  const ys = figure.map(([, y]) => y)
  const first = Math.max(0, Math.ceil(Math.min(...ys) - 0.5))
  const last = Math.min(height - 1, Math.ceil(Math.max(...ys) - 0.5) - 1)
  const runs: number[] = []
  for (let y = first; y <= last; y++) {
    const at = y + 0.5
    let left = Number.POSITIVE_INFINITY
    let right = Number.NEGATIVE_INFINITY
    for (let i = 0, j = figure.length - 1; i < figure.length; j = i++) {
      const ay = ys[j]!
      const by = ys[i]!
      if (ay === by || at < Math.min(ay, by) || at > Math.max(ay, by)) continue
      const x = xs[j]! + ((at - ay) / (by - ay)) * (xs[i]! - xs[j]!)
      if (x < left) left = x
      if (x > right) right = x
    }
    const from = Math.max(0, Math.ceil(left - 0.5))
    const to = Math.min(width, Math.ceil(right - 0.5))
    if (to > from) runs.push(y, from, to)
  }
  return Int32Array.from(runs)
}
