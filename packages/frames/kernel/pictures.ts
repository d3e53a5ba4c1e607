export { addRow, endRow, shareRow, sumRow, widen } from './shrink'
export { bend, extremes, stretch } from './tones'
export { countRuns, hulls, joinRuns, placeRows, sizes, spanRows } from './regions'

/*
 * Pictures of interleaved red, green and blue in singles, from byte `from` of the memory, row by row.
 */

/**
 * Of each pixel the largest of the channels' gradient magnitudes, by central differences after smoothing with a binomial 3 × 3
 * (together Sobel's kernel ÷ 8), to `out`; but for the outermost pixels. Columns are worked on where they lie: what is read beyond a
 * row's end belongs to the next one. `room` has place for 3 · `width` + 4 singles twice.
 */
export function gradient(from: usize, out: usize, room: usize, width: i32, height: i32): void {
  const stride = <usize>(12 * width)
  const other = room + stride + 16
  const eighth = f32x4.splat(0.125)
  const two = f32x4.splat(2)
  for (let y = 1; y < height - 1; y++) {
    const row = from + stride * <usize>y
    // Of every column its smoothed value, and how it changes downwards.
    for (let at: usize = 0; at < stride; at += 16) {
      const above = v128.load(row + at - stride)
      const here = v128.load(row + at)
      const below = v128.load(row + at + stride)
      v128.store(room + at, f32x4.add(f32x4.add(above, below), f32x4.mul(here, two)))
      v128.store(other + at, f32x4.sub(below, above))
    }
    const to = out + (<usize>(y * width) << 2)
    // Four pixels, twelve samples: squares side by side as the samples are, then the largest of three.
    for (let x = 1; x < width - 1; x += 4) {
      const at = <usize>(12 * x)
      const a = square(room + at, other + at, two)
      const b = square(room + at + 16, other + at + 16, two)
      const c = square(room + at + 32, other + at + 32, two)
      const red = i32x4.shuffle(i32x4.shuffle(a, b, 0, 3, 6, 6), c, 0, 1, 2, 5)
      const green = i32x4.shuffle(i32x4.shuffle(a, b, 1, 4, 7, 7), c, 0, 1, 2, 6)
      const blue = i32x4.shuffle(i32x4.shuffle(a, b, 2, 5, 5, 5), c, 0, 1, 4, 7)
      const most = f32x4.pmax(f32x4.pmax(red, green), blue)
      v128.store(to + (<usize>x << 2), f32x4.mul(f32x4.sqrt(most), eighth))
    }
  }
}

// @ts-ignore: decorator
@inline function square(smooth: usize, change: usize, two: v128): v128 {
  const dx = f32x4.sub(v128.load(smooth + 12), v128.load(smooth - 12))
  const dy = f32x4.add(
    f32x4.add(v128.load(change - 12), v128.load(change + 12)),
    f32x4.mul(v128.load(change), two),
  )
  return f32x4.add(f32x4.mul(dx, dx), f32x4.mul(dy, dy))
}

/**
 * Every sample replaced by the median of the 3 × 3 about it, for samples `begin` to `end` of rows `top` to `bottom`, none of them
 * outermost; up to three beyond the end are written as well. The median of nine is that of the largest of the columns' leasts, the
 * middle of their middles and the least of their largests.
 */
export function median(
  from: usize, out: usize, room: usize, stride: i32, begin: i32, end: i32, top: i32, bottom: i32,
): void {
  const line = <usize>stride << 2
  const span = <usize>(end - begin + 16) << 2
  const middles = room + span
  const highs = middles + span
  for (let y = top; y < bottom; y++) {
    const first = from + line * <usize>y + (<usize>(begin - 3) << 2)
    const last = <usize>(end - begin + 6) << 2
    for (let at: usize = 0; at < last; at += 16) {
      const a = v128.load(first + at - line)
      const b = v128.load(first + at)
      const c = v128.load(first + at + line)
      const less = f32x4.pmin(a, b)
      const more = f32x4.pmax(a, b)
      v128.store(room + at, f32x4.pmin(less, c))
      v128.store(highs + at, f32x4.pmax(more, c))
      v128.store(middles + at, f32x4.pmax(less, f32x4.pmin(more, c)))
    }
    const to = out + line * <usize>y + (<usize>begin << 2)
    const width = <usize>(end - begin) << 2
    for (let at: usize = 0; at < width; at += 16) {
      const l = f32x4.pmax(f32x4.pmax(v128.load(room + at), v128.load(room + at + 12)), v128.load(room + at + 24))
      const h = f32x4.pmin(f32x4.pmin(v128.load(highs + at), v128.load(highs + at + 12)), v128.load(highs + at + 24))
      const m = middle(v128.load(middles + at), v128.load(middles + at + 12), v128.load(middles + at + 24))
      v128.store(to + at, middle(l, m, h))
    }
  }
}

// @ts-ignore: decorator
@inline function middle(a: v128, b: v128, c: v128): v128 {
  return f32x4.pmax(f32x4.pmin(a, b), f32x4.pmin(f32x4.pmax(a, b), c))
}
