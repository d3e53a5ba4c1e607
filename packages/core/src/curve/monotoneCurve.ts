/**
 * A monotone cubic through rising points: F. N. Fritsch, J. Butland, A method for constructing local monotone piecewise
 * cubic interpolants, SIAM J. Sci. Stat. Comput. 5 (1984). Straight on past both ends with the slope there.
 *
 * @param xs strictly rising, two or more. @param ys strictly rising, as many.
 */
export function monotoneCurve(xs: readonly number[], ys: readonly number[]): (x: number) => number {
  const n = xs.length
  const width = (k: number) => xs[k + 1]! - xs[k]!
  const secant = (k: number) => (ys[k + 1]! - ys[k]!) / width(k)
  const slope = xs.map((_, k) => {
    if (k === 0) return secant(0)
    if (k === n - 1) return secant(n - 2)
    const w1 = 2 * width(k) + width(k - 1)
    const w2 = width(k) + 2 * width(k - 1)
    return (w1 + w2) / (w1 / secant(k - 1) + w2 / secant(k))
  })
  return (x) => {
    if (x <= xs[0]!) return ys[0]! + slope[0]! * (x - xs[0]!)
    if (x >= xs[n - 1]!) return ys[n - 1]! + slope[n - 1]! * (x - xs[n - 1]!)
    let k = 0
    while (x > xs[k + 1]!) k++
    const h = width(k)
    const t = (x - xs[k]!) / h
    const u = 1 - t
    return (
      ys[k]! * u * u * (1 + 2 * t) +
      slope[k]! * h * t * u * u +
      ys[k + 1]! * t * t * (3 - 2 * t) -
      slope[k + 1]! * h * t * t * u
    )
  }
}
