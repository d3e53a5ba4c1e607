/*
 * Rows of a frame as rows of fewer pixels. Sums are doubles.
 */

/** `count` samples of 1, 2 or 4 bytes, which are singles, as singles; those that are not finite as 0. Up to three beyond are written. */
export function widen(from: usize, out: usize, count: i32, size: i32): void {
  const end = out + (<usize>count << 2)
  if (size === 1) {
    for (; out < end; out += 16, from += 4)
      v128.store(out, f32x4.convert_i32x4_u(i32x4.extend_low_i16x8_u(i16x8.extend_low_i8x16_u(v128.load32_zero(from)))))
  } else if (size === 2) {
    for (; out < end; out += 16, from += 8)
      v128.store(out, f32x4.convert_i32x4_u(i32x4.extend_low_i16x8_u(v128.load64_zero(from))))
  } else {
    for (; out < end; out += 16, from += 16) {
      const samples = v128.load(from)
      const none = f32x4.sub(samples, samples)
      v128.store(out, v128.and(samples, f32x4.eq(none, f32x4.splat(0))))
    }
  }
}

/** To the sums of `count` pixels those of `factor` pixels each of a row of singles. */
export function sumRow(from: usize, sums: usize, count: i32, factor: i32): void {
  for (let k = 0; k < count; k++, sums += 24) {
    let red = f64x2.splat(0)
    let blue = red
    for (let i = 0; i < factor; i++, from += 12) {
      const samples = v128.load(from)
      red = f64x2.add(red, redGreen(samples))
      blue = f64x2.add(blue, blueOf(samples))
    }
    v128.store(sums, f64x2.add(v128.load(sums), red))
    v128.store64_lane(sums + 16, f64x2.add(v128.load64_zero(sums + 16), blue), 0)
  }
}

/** `count` sums, each times `part`, as singles; the sums begin anew. Up to three beyond are worked on as well. */
export function endRow(sums: usize, out: usize, count: i32, part: f64): void {
  const parts = f64x2.splat(part)
  const none = f64x2.splat(0)
  for (const end = out + (<usize>count << 2); out < end; sums += 32, out += 16) {
    v128.store(out, asSingles(f64x2.mul(v128.load(sums), parts), f64x2.mul(v128.load(sums + 16), parts)))
    v128.store(sums, none)
    v128.store(sums + 16, none)
  }
}

/**
 * The sums of a row of singles by the `count` pixels under which they lie: of each in `begin` (whole numbers, one more at the end)
 * its first sample pixel, and in `share` how much of the last one it covers, of which the rest falls to the next.
 */
export function shareRow(from: usize, begin: usize, share: usize, sums: usize, count: i32): void {
  let red = f64x2.splat(0)
  let blue = red
  for (let k = 0; k < count; k++, begin += 4, share += 8, sums += 24) {
    const first = load<i32>(begin)
    const last = load<i32>(begin + 4) - 1
    // The rest on the right may have no pixel of its own.
    if (first > last) {
      v128.store(sums, red)
      v128.store64_lane(sums + 16, blue, 0)
      continue
    }
    let at = from + <usize>(12 * first)
    for (let i = first; i < last; i++, at += 12) {
      const samples = v128.load(at)
      red = f64x2.add(red, redGreen(samples))
      blue = f64x2.add(blue, blueOf(samples))
    }
    const samples = v128.load(at)
    const part = load<f64>(share)
    const parts = f64x2.splat(part)
    v128.store(sums, f64x2.add(red, f64x2.mul(redGreen(samples), parts)))
    v128.store64_lane(sums + 16, f64x2.add(blue, f64x2.mul(blueOf(samples), parts)), 0)
    const rest = f64x2.splat(1 - part)
    red = f64x2.mul(redGreen(samples), rest)
    blue = f64x2.mul(blueOf(samples), rest)
  }
}

/** To a row of singles `count` sums, each times `weight`; to up to three beyond as well. */
export function addRow(sums: usize, out: usize, count: i32, weight: f64): void {
  const weights = f64x2.splat(weight)
  for (const end = out + (<usize>count << 2); out < end; sums += 32, out += 16) {
    const before = v128.load(out)
    const high = i32x4.shuffle(before, before, 2, 3, 2, 3)
    const a = f64x2.add(f64x2.promote_low_f32x4(before), f64x2.mul(v128.load(sums), weights))
    const b = f64x2.add(f64x2.promote_low_f32x4(high), f64x2.mul(v128.load(sums + 16), weights))
    v128.store(out, asSingles(a, b))
  }
}

// @ts-ignore: decorator
@inline function redGreen(samples: v128): v128 {
  return f64x2.promote_low_f32x4(samples)
}

// @ts-ignore: decorator
@inline function blueOf(samples: v128): v128 {
  return f64x2.promote_low_f32x4(i32x4.shuffle(samples, samples, 2, 3, 2, 3))
}

// @ts-ignore: decorator
@inline function asSingles(a: v128, b: v128): v128 {
  return i32x4.shuffle(f32x4.demote_f64x2_zero(a), f32x4.demote_f64x2_zero(b), 0, 1, 4, 5)
}
