/*
 * Connected pixels with a gradient under a threshold, by runs: of each its first column and the one after its last as a pair of
 * 16-bit numbers. Every list is of whole numbers of 32 bits; a region is named by the first of its runs.
 */

/** How many runs there are. */
export function countRuns(gradient: usize, width: i32, height: i32, threshold: f64): i32 {
  const limit = limitOf(threshold)
  let count = 0
  for (let y = 0; y < height; y++) {
    let before: u32 = 0
    const row = gradient + (<usize>(y * width) << 2)
    for (let x = 0; x < width; x += 16) {
      const flat = flatOf(row + (<usize>x << 2), width - x, limit)
      count += popcnt<u32>(flat & ~((flat << 1) | before))
      before = flat >> 15
    }
  }
  return count
}

/**
 * Finds the runs, and joins those that touch from row to row: `first` has of each the first of its region. `starts` has of each row
 * the number of its first run, and one more at the end.
 */
export function joinRuns(
  gradient: usize, width: i32, height: i32, threshold: f64, runs: usize, first: usize, starts: usize,
): i32 {
  const limit = limitOf(threshold)
  let count = 0
  let above = 0
  for (let y = 0; y < height; y++) {
    store<i32>(starts + (<usize>y << 2), count)
    const end = count
    const row = gradient + (<usize>(y * width) << 2)
    let begin = 0
    let before: u32 = 0
    for (let x = 0; x < width; x += 16) {
      const flat = flatOf(row + (<usize>x << 2), width - x, limit)
      // Where runs begin and end.
      let turns = (flat ^ ((flat << 1) | before)) & 0xffff
      before = flat >> 15
      while (turns !== 0) {
        const at = x + <i32>ctz<u32>(turns)
        turns &= turns - 1
        if (((flat >> (at - x)) & 1) !== 0) begin = at
        else above = addRun(runs, first, count++, begin, at, above, end)
      }
    }
    if (before !== 0 && width % 16 === 0) above = addRun(runs, first, count++, begin, width, above, end)
    above = end
  }
  store<i32>(starts + (<usize>height << 2), count)
  for (let run = 0; run < count; run++) {
    const place = first + (<usize>run << 2)
    store<i32>(place, load<i32>(first + (<usize>load<i32>(place) << 2)))
  }
  return count
}

/** @returns the first run of the row above that the next one may touch */
function addRun(runs: usize, first: usize, run: i32, begin: i32, stop: i32, above: i32, end: i32): i32 {
  store<u32>(runs + (<usize>run << 2), begin | (stop << 16))
  store<i32>(first + (<usize>run << 2), run)
  while (above < end && stopOf(runs, above) <= begin) above++
  for (let other = above; other < end && beginOf(runs, other) < stop; other++) join(first, other, run)
  return above
}

/** Of two regions the one whose first run comes later belongs to the other from now on. */
function join(first: usize, a: i32, b: i32): void {
  const one = root(first, a)
  const other = root(first, b)
  if (one < other) store<i32>(first + (<usize>other << 2), one)
  else store<i32>(first + (<usize>one << 2), other)
}

function root(first: usize, run: i32): i32 {
  let place = first + (<usize>run << 2)
  let next = load<i32>(place)
  while (next !== run) {
    const further = load<i32>(first + (<usize>next << 2))
    store<i32>(place, further)
    run = further
    place = first + (<usize>run << 2)
    next = load<i32>(place)
  }
  return run
}

/**
 * Of every region its pixels to `area` and its last row to `lastRow`, by its first run; to `kept` the regions whose area is within
 * the limits, in their order.
 *
 * @returns how many are kept
 */
export function sizes(
  runs: usize, first: usize, starts: usize, height: i32, area: usize, lastRow: usize, least: f64, most: f64, kept: usize,
): i32 {
  const count = load<i32>(starts + (<usize>height << 2))
  memory.fill(area, 0, <usize>count << 2)
  for (let y = 0; y < height; y++) {
    const end = load<i32>(starts + (<usize>(y + 1) << 2))
    for (let run = load<i32>(starts + (<usize>y << 2)); run < end; run++) {
      const region = <usize>load<i32>(first + (<usize>run << 2)) << 2
      store<i32>(area + region, load<i32>(area + region) + stopOf(runs, run) - beginOf(runs, run))
      store<i32>(lastRow + region, y)
    }
  }
  let taken = 0
  for (let run = 0; run < count; run++) {
    if (load<i32>(first + (<usize>run << 2)) !== run) continue
    const own = <f64>load<i32>(area + (<usize>run << 2))
    if (own < least || own > most) continue
    store<i32>(kept + (<usize>taken << 2), run)
    taken++
  }
  return taken
}

/**
 * Of `count` kept regions the first row to `topRow`, and how many rows those before have to `offset`, to `place` by their first run
 * which they are, −1 for all others. A region has pixels in all rows from its first to its last.
 *
 * @returns how many rows they have in all
 */
export function placeRows(
  starts: usize, height: i32, lastRow: usize, place: usize, kept: usize, count: i32, topRow: usize, offset: usize,
): i32 {
  memory.fill(place, 0xff, <usize>load<i32>(starts + (<usize>height << 2)) << 2)
  let rows = 0
  for (let k = 0, y = 0; k < count; k++) {
    const run = load<i32>(kept + (<usize>k << 2))
    while (load<i32>(starts + (<usize>(y + 1) << 2)) <= run) y++
    store<i32>(topRow + (<usize>k << 2), y)
    store<i32>(offset + (<usize>k << 2), rows - y)
    store<i32>(place + (<usize>run << 2), k)
    rows += load<i32>(lastRow + (<usize>run << 2)) + 1 - y
  }
  return rows
}

/**
 * Of the kept regions where each of their rows begins and ends, as runs do, to `rows`, and to `sums` two doubles, their sums of x
 * and of y; both hold zeros.
 */
export function spanRows(
  runs: usize, first: usize, starts: usize, height: i32, place: usize, offset: usize, rows: usize, sums: usize,
): void {
  for (let y = 0; y < height; y++) {
    const end = load<i32>(starts + (<usize>(y + 1) << 2))
    for (let run = load<i32>(starts + (<usize>y << 2)); run < end; run++) {
      const k = load<i32>(place + (<usize>load<i32>(first + (<usize>run << 2)) << 2))
      if (k < 0) continue
      const begin = beginOf(runs, run)
      const stop = stopOf(runs, run)
      const length = stop - begin
      const sum = sums + (<usize>k << 4)
      store<f64>(sum, load<f64>(sum) + <f64>(length * (begin + stop - 1)) / 2)
      store<f64>(sum + 8, load<f64>(sum + 8) + <f64>(length * y))
      // Runs of a row come from left to right.
      const row = load<i32>(offset + (<usize>k << 2)) + y
      store<u32>(rows + (<usize>row << 2), (stop << 16) | (stopOf(rows, row) === 0 ? begin : beginOf(rows, row)))
    }
  }
}

/**
 * Convex hulls of the kept regions, one after the other to `out`: of each its place among them, its pixels, how many points the hull
 * has, and these as pairs of 16-bit numbers, down the right side and up the left one. What fills less than `fill` of its hull is
 * left out.
 *
 * @param room for 16 · `height` + 16 bytes
 * @returns how many there are
 */
export function hulls(
  area: usize, lastRow: usize, kept: usize, count: i32, topRow: usize, rows: usize, fill: f64, room: usize, out: usize,
): i32 {
  let found = 0
  for (let k = 0; k < count; k++) {
    const run = <usize>load<i32>(kept + (<usize>k << 2)) << 2
    const top = load<i32>(topRow + (<usize>k << 2))
    const lines = load<i32>(lastRow + run) + 1 - top
    const pixels = load<i32>(area + run)
    const points = hullOf(rows, lines, top, room)
    rows += <usize>lines << 2
    if (<f64>pixels < fill * (<f64>twiceArea(room, points) / 2)) continue
    store<i32>(out, k)
    store<i32>(out + 4, pixels)
    store<i32>(out + 8, points)
    memory.copy(out + 12, room, <usize>points << 2)
    out += 12 + (<usize>points << 2)
    found++
  }
  return found
}

function hullOf(span: usize, lines: i32, top: i32, room: usize): i32 {
  let n = 0
  for (let k = 0; k < lines; k++) {
    const right = stopOf(span, k)
    n = addPoint(room, n, 0, right, top + k)
    n = addPoint(room, n, 0, right, top + k + 1)
  }
  const side = n
  for (let k = lines - 1; k >= 0; k--) {
    const left = beginOf(span, k)
    n = addPoint(room, n, side, left, top + k + 1)
    n = addPoint(room, n, side, left, top + k)
  }
  return n
}

function addPoint(room: usize, n: i32, from: i32, x: i32, y: i32): i32 {
  while (n >= from + 2) {
    const ax = beginOf(room, n - 1)
    const ay = stopOf(room, n - 1)
    const bx = beginOf(room, n - 2)
    const by = stopOf(room, n - 2)
    if ((ax - bx) * (y - by) - (ay - by) * (x - bx) > 0) break
    n--
  }
  store<u32>(room + (<usize>n << 2), x | (y << 16))
  return n + 1
}

function twiceArea(room: usize, n: i32): i32 {
  let twice = 0
  for (let k = 0, last = n - 1; k < n; last = k++)
    twice += beginOf(room, last) * stopOf(room, k) - stopOf(room, last) * beginOf(room, k)
  return twice
}

// @ts-ignore: decorator
@inline function beginOf(pairs: usize, k: i32): i32 {
  return <i32>load<u16>(pairs + (<usize>k << 2))
}

// @ts-ignore: decorator
@inline function stopOf(pairs: usize, k: i32): i32 {
  return <i32>load<u16>(pairs + (<usize>k << 2) + 2)
}

/** Of sixteen pixels, as many as there are in the row, a bit each: 1 where the gradient is under the threshold. */
// @ts-ignore: decorator
@inline function flatOf(at: usize, left: i32, limit: v128): u32 {
  const a = i16x8.narrow_i32x4_s(f32x4.lt(v128.load(at), limit), f32x4.lt(v128.load(at + 16), limit))
  const b = i16x8.narrow_i32x4_s(f32x4.lt(v128.load(at + 32), limit), f32x4.lt(v128.load(at + 48), limit))
  const flat = <u32>i8x16.bitmask(i8x16.narrow_i16x8_s(a, b))
  return left < 16 ? flat & ((1 << left) - 1) : flat
}

/** The least single that is no less: the same singles are under it. */
// @ts-ignore: decorator
@inline function limitOf(threshold: f64): v128 {
  const limit = <f32>threshold
  return f32x4.splat(<f64>limit < threshold ? reinterpret<f32>(reinterpret<u32>(limit) + 1) : limit)
}
