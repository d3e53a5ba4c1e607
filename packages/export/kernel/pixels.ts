/*
 * Four interleaved 16-bit pixels in and out of vectors. `channels` is 3 or 4 wherever it stands, and known when the kernel
 * is compiled.
 */

// @ts-ignore: decorator
@inline export function loadFirst(pointer: usize): v128 {
  return v128.load(pointer)
}

// @ts-ignore: decorator
@inline export function loadSecond(channels: i32, pointer: usize): v128 {
  return channels == 3 ? v128.load64_zero(pointer, 16) : v128.load(pointer, 16)
}

/** Four pixels of whole numbers, cut to 16 bits, to `pointer`; a fourth channel is written as it was in `first`, `second`. */
// @ts-ignore: decorator
@inline export function store(
  channels: i32, pointer: usize, first: v128, second: v128, p0: v128, p1: v128, p2: v128, p3: v128,
): void {
  const low = i16x8.narrow_i32x4_u(p0, p1)
  const high = i16x8.narrow_i32x4_u(p2, p3)
  if (channels == 3) {
    v128.store(pointer, i8x16.shuffle(low, high, 0, 1, 2, 3, 4, 5, 8, 9, 10, 11, 12, 13, 16, 17, 18, 19))
    v128.store64_lane(
      pointer, i8x16.shuffle(high, high, 4, 5, 8, 9, 10, 11, 12, 13, 0, 0, 0, 0, 0, 0, 0, 0), 0, 16,
    )
  } else {
    v128.store(pointer, i8x16.shuffle(low, first, 0, 1, 2, 3, 4, 5, 22, 23, 8, 9, 10, 11, 12, 13, 30, 31))
    v128.store(pointer, i8x16.shuffle(high, second, 0, 1, 2, 3, 4, 5, 22, 23, 8, 9, 10, 11, 12, 13, 30, 31), 16)
  }
}

/** One of four 32-bit lanes in all of them. */
// @ts-ignore: decorator
@inline export function lane(vector: v128, at: i32): v128 {
  if (at == 0) return i32x4.shuffle(vector, vector, 0, 0, 0, 0)
  if (at == 1) return i32x4.shuffle(vector, vector, 1, 1, 1, 1)
  if (at == 2) return i32x4.shuffle(vector, vector, 2, 2, 2, 2)
  return i32x4.shuffle(vector, vector, 3, 3, 3, 3)
}

/** One of four 32-bit lanes. */
// @ts-ignore: decorator
@inline export function extract(vector: v128, at: i32): usize {
  if (at == 0) return i32x4.extract_lane(vector, 0)
  if (at == 1) return i32x4.extract_lane(vector, 1)
  if (at == 2) return i32x4.extract_lane(vector, 2)
  return i32x4.extract_lane(vector, 3)
}
