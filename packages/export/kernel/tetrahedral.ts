import { extract, lane, loadFirst, loadSecond, store } from './pixels'

/*
 * Tetrahedral interpolation of 16-bit pixels in place, four at a time: cells, the order of the fractions and weights are
 * worked out for four pixels side by side, then each pixel adds up its four nodes, red, green and blue side by side. The
 * lattice is size³ nodes of four f32 (red, green, blue, unused), red-fastest, at the start of the memory. Pixels lie from
 * byte `from` to byte `end`; up to three beyond the end are worked on as well.
 */

/** RGB, codes 0…65535 on a domain 0…1, a lattice of 2^log + 1 nodes a side, all of them between −64 and 64. */
export function whole3(from: usize, end: usize, log: i32): void {
  whole(3, false, from, end, log)
}

/** The same for RGB and a fourth channel. */
export function whole4(from: usize, end: usize, log: i32): void {
  whole(4, false, from, end, log)
}

/** The same for nodes of any size. */
export function wide3(from: usize, end: usize, log: i32): void {
  whole(3, true, from, end, log)
}

export function wide4(from: usize, end: usize, log: i32): void {
  whole(4, true, from, end, log)
}

/** RGB, codes 0…65535 on a domain 0…1, any size. */
export function unit3(from: usize, end: usize, size: i32): void {
  any(3, true, from, end, size, 65535, 0, 0, 0, 0, 0, 0)
}

export function unit4(from: usize, end: usize, size: i32): void {
  any(4, true, from, end, size, 65535, 0, 0, 0, 0, 0, 0)
}

/** RGB, any domain and highest code: position on an axis = code · scale + offset. */
export function any3(
  from: usize, end: usize, size: i32, top: f32,
  scaleR: f64, scaleG: f64, scaleB: f64, offsetR: f64, offsetG: f64, offsetB: f64,
): void {
  any(3, false, from, end, size, top, scaleR, scaleG, scaleB, offsetR, offsetG, offsetB)
}

export function any4(
  from: usize, end: usize, size: i32, top: f32,
  scaleR: f64, scaleG: f64, scaleB: f64, offsetR: f64, offsetG: f64, offsetB: f64,
): void {
  any(4, false, from, end, size, top, scaleR, scaleG, scaleB, offsetR, offsetG, offsetB)
}

/**
 * Lattices of fractions whose cells along an axis are a power of two. Results are cut to 0…65535 as they are packed, where
 * they fit 22 bits and a sign; with `wide`, before.
 *
 * Everything before the nodes is in whole numbers, which is exact. With 2^log cells, the cell is code >> (16 − log), and
 * code · 2^log − cell · 65535, which is (code << log) + cell in the lower 16 bits, is how far into it, in 65535ths; the
 * highest code is at the far end of the last cell. That goes into the upper half of a key, and the nodes from here to
 * the next along the axis into the lower half, so that sorting the keys sorts both: the fractions fall from node to
 * node of the tetrahedron, and the ways lead there.
 */
// @ts-ignore: decorator
@inline function whole(
  channels: i32, wide: bool, from: usize, end: usize, log: i32,
): void {
  const size = (1 << log) + 1
  const all = 1 + size + size * size
  const last = 16 * all
  const stepRG = i32x4.splat(1 | (size << 16))
  const stepG = i32x4.splat(size)
  const stepB = i32x4.splat(size * size)
  const toLast = i32x4.splat(all)
  const shift = 16 - log
  const one = i32x4.splat(1)
  const upper = i32x4.splat(0xffff << 16)
  const lower = i32x4.splat(0xffff)
  for (let pointer = from; pointer < end; pointer += 8 * channels) {
    const in0 = loadFirst(pointer)
    const in1 = loadSecond(channels, pointer)
    // A pixel a lane of 32 bits: red below green; blue, and above it something that drops out.
    let rg = channels == 3
      ? i8x16.shuffle(in0, in1, 0, 1, 2, 3, 6, 7, 8, 9, 12, 13, 14, 15, 18, 19, 20, 21)
      : i8x16.shuffle(in0, in1, 0, 1, 2, 3, 8, 9, 10, 11, 16, 17, 18, 19, 24, 25, 26, 27)
    let b = channels == 3
      ? i8x16.shuffle(in0, in1, 4, 5, 4, 5, 10, 11, 10, 11, 16, 17, 16, 17, 22, 23, 22, 23)
      : i8x16.shuffle(in0, in1, 4, 5, 4, 5, 12, 13, 12, 13, 20, 21, 20, 21, 28, 29, 28, 29)
    const cellsRG = i16x8.shr_u(rg, shift)
    const cellsB = i16x8.shr_u(b, shift)
    rg = i16x8.add(i16x8.shl(rg, log), cellsRG)
    b = i16x8.add(i16x8.shl(b, log), cellsB)
    const base = i32x4.add(i32x4.dot_i16x8_s(cellsRG, stepRG), i32x4.dot_i16x8_s(cellsB, stepB))

    // Three keys in falling order.
    const keyR = v128.or(i32x4.shl(rg, 16), one)
    const keyG = v128.or(v128.and(rg, upper), stepG)
    const keyB = v128.or(i32x4.shl(b, 16), stepB)
    const more = i32x4.max_u(keyR, keyG)
    const less = i32x4.min_u(keyR, keyG)
    const most = i32x4.max_u(more, keyB)
    const least = i32x4.min_u(less, keyB)
    const middle = i32x4.max_u(less, i32x4.min_u(more, keyB))

    // Bytes from the start of the lattice to the first three nodes; the fourth is `all` nodes behind the first.
    const first = i32x4.shl(i32x4.add(base, v128.and(most, lower)), 4)
    const second = i32x4.shl(i32x4.sub(i32x4.add(base, toLast), v128.and(least, lower)), 4)
    const start = i32x4.shl(base, 4)

    // Weights of the four nodes in 65535ths: the steps from 65535 down the three fractions to 0.
    const f0 = i32x4.shr_u(most, 16)
    const f1 = i32x4.shr_u(middle, 16)
    const f2 = i32x4.shr_u(least, 16)
    const w0 = f32x4.convert_i32x4_s(i32x4.sub(lower, f0))
    const w1 = f32x4.convert_i32x4_s(i32x4.sub(f0, f1))
    const w2 = f32x4.convert_i32x4_s(i32x4.sub(f1, f2))
    const w3 = f32x4.convert_i32x4_s(f2)
    store(
      channels, pointer, in0, in1,
      wholePixel(wide, 0, last, start, first, second, w0, w1, w2, w3),
      wholePixel(wide, 1, last, start, first, second, w0, w1, w2, w3),
      wholePixel(wide, 2, last, start, first, second, w0, w1, w2, w3),
      wholePixel(wide, 3, last, start, first, second, w0, w1, w2, w3),
    )
  }
}

/** Four nodes times four weights, rounded to whole numbers. */
// @ts-ignore: decorator
@inline function wholePixel(
  wide: bool, at: i32, last: usize, start: v128, first: v128, second: v128,
  w0: v128, w1: v128, w2: v128, w3: v128,
): v128 {
  const base = extract(start, at)
  const sum = f32x4.add(
    f32x4.add(
      f32x4.mul(v128.load(base), lane(w0, at)),
      f32x4.mul(v128.load(extract(first, at)), lane(w1, at)),
    ),
    f32x4.add(
      f32x4.mul(v128.load(extract(second, at)), lane(w2, at)),
      f32x4.mul(v128.load(last + base), lane(w3, at)),
    ),
  )
  // Added to 1.5 · 2^23, a number between −2^22 and 2^22 rounds to a whole one, which then stands in the low bits.
  const cut = wide ? f32x4.pmin(f32x4.pmax(sum, f32x4.splat(0)), f32x4.splat(65535)) : sum
  return i32x4.sub(f32x4.add(cut, f32x4.splat(12582912)), i32x4.splat(0x4b400000))
}

/**
 * Any size, for lattices of code values. Positions are in double precision, since in single precision a step of the code
 * value at the far end of a large lattice would be off by more than the picture's own step; with `unit`, for codes 0…65535 on a
 * domain 0…1, they are whole numbers, which is as exact and takes less.
 */
// @ts-ignore: decorator
@inline function any(
  channels: i32, unit: bool, from: usize, end: usize, size: i32, top: f32,
  scaleR: f64, scaleG: f64, scaleB: f64, offsetR: f64, offsetG: f64, offsetB: f64,
): void {
  const all = 16 * (1 + size + size * size)
  const stepR = i32x4.splat(16)
  const stepG = i32x4.splat(16 * size)
  const stepB = i32x4.splat(16 * size * size)
  const lastCell = i32x4.splat(size - 2)
  const lastNode = f64x2.splat(<f64>(size - 1))
  const cells = i32x4.splat(size - 1)
  const ceiling = f32x4.splat(top)
  const one = f32x4.splat(1)
  for (let pointer = from; pointer < end; pointer += 8 * channels) {
    const in0 = loadFirst(pointer)
    const in1 = loadSecond(channels, pointer)
    const codesR = i32x4.extend_low_i16x8_u(
      channels == 3
        ? i8x16.shuffle(in0, in1, 0, 1, 6, 7, 12, 13, 18, 19, 0, 0, 0, 0, 0, 0, 0, 0)
        : i8x16.shuffle(in0, in1, 0, 1, 8, 9, 16, 17, 24, 25, 0, 0, 0, 0, 0, 0, 0, 0),
    )
    const codesG = i32x4.extend_low_i16x8_u(
      channels == 3
        ? i8x16.shuffle(in0, in1, 2, 3, 8, 9, 14, 15, 20, 21, 0, 0, 0, 0, 0, 0, 0, 0)
        : i8x16.shuffle(in0, in1, 2, 3, 10, 11, 18, 19, 26, 27, 0, 0, 0, 0, 0, 0, 0, 0),
    )
    const codesB = i32x4.extend_low_i16x8_u(
      channels == 3
        ? i8x16.shuffle(in0, in1, 4, 5, 10, 11, 16, 17, 22, 23, 0, 0, 0, 0, 0, 0, 0, 0)
        : i8x16.shuffle(in0, in1, 4, 5, 12, 13, 20, 21, 28, 29, 0, 0, 0, 0, 0, 0, 0, 0),
    )
    let cellR: v128, cellG: v128, cellB: v128, r: v128, g: v128, b: v128
    if (unit) {
      const wayR = i32x4.mul(codesR, cells)
      const wayG = i32x4.mul(codesG, cells)
      const wayB = i32x4.mul(codesB, cells)
      cellR = unitCell(wayR, lastCell)
      cellG = unitCell(wayG, lastCell)
      cellB = unitCell(wayB, lastCell)
      r = unitFraction(wayR, cellR)
      g = unitFraction(wayG, cellG)
      b = unitFraction(wayB, cellB)
    } else {
      const lowR = position(codesR, scaleR, offsetR, lastNode)
      const lowG = position(codesG, scaleG, offsetG, lastNode)
      const lowB = position(codesB, scaleB, offsetB, lastNode)
      const highR = position(upperHalf(codesR), scaleR, offsetR, lastNode)
      const highG = position(upperHalf(codesG), scaleG, offsetG, lastNode)
      const highB = position(upperHalf(codesB), scaleB, offsetB, lastNode)
      cellR = cell(lowR, highR, lastCell)
      cellG = cell(lowG, highG, lastCell)
      cellB = cell(lowB, highB, lastCell)
      r = fraction(lowR, highR, cellR)
      g = fraction(lowG, highG, cellG)
      b = fraction(lowB, highB, cellB)
    }
    const base = i32x4.add(i32x4.add(i32x4.mul(cellR, stepR), i32x4.mul(cellG, stepG)), i32x4.mul(cellB, stepB))

    // Falling order of the three fractions → the two nodes in between, and the weights.
    const most = f32x4.pmax(f32x4.pmax(r, g), b)
    const least = f32x4.pmin(f32x4.pmin(r, g), b)
    const middle = f32x4.pmax(f32x4.pmin(f32x4.pmax(r, g), b), f32x4.pmin(r, g))
    const way = v128.bitselect(
      stepR, v128.bitselect(stepG, stepB, f32x4.eq(g, most)), f32x4.eq(r, most),
    )
    const back = v128.bitselect(
      stepB, v128.bitselect(stepG, stepR, f32x4.eq(g, least)), f32x4.eq(b, least),
    )
    const first = i32x4.add(base, way)
    const second = i32x4.sub(i32x4.add(i32x4.add(i32x4.add(base, stepR), stepG), stepB), back)
    const w0 = f32x4.sub(one, most)
    const w1 = f32x4.sub(most, middle)
    const w2 = f32x4.sub(middle, least)
    store(
      channels, pointer, in0, in1,
      anyPixel(0, all, base, first, second, w0, w1, w2, least, ceiling),
      anyPixel(1, all, base, first, second, w0, w1, w2, least, ceiling),
      anyPixel(2, all, base, first, second, w0, w1, w2, least, ceiling),
      anyPixel(3, all, base, first, second, w0, w1, w2, least, ceiling),
    )
  }
}

/**
 * Codes 0…65535 on a domain 0…1: with t = code · (size − 1) the cell is t / 65535, which is (t + ⌊t / 2^16⌋ + 1) / 2^16, both
 * rounded down …
 */
// @ts-ignore: decorator
@inline function unitCell(way: v128, lastCell: v128): v128 {
  const sum = i32x4.add(i32x4.add(way, i32x4.shr_u(way, 16)), i32x4.splat(1))
  return i32x4.min_s(i32x4.shr_u(sum, 16), lastCell)
}

/** … and the fraction is what is left over 65535. */
// @ts-ignore: decorator
@inline function unitFraction(way: v128, cell: v128): v128 {
  const rest = i32x4.sub(i32x4.add(way, cell), i32x4.shl(cell, 16))
  return f32x4.mul(f32x4.convert_i32x4_s(rest), f32x4.splat(<f32>(1.0 / 65535.0)))
}

// @ts-ignore: decorator
@inline function upperHalf(vector: v128): v128 {
  return i64x2.shuffle(vector, vector, 1, 1)
}

/** Two positions on an axis, in cells. pmin and pmax keep their first operand unless the second is beyond it. */
// @ts-ignore: decorator
@inline function position(codes: v128, scale: f64, offset: f64, lastNode: v128): v128 {
  const at = f64x2.add(f64x2.mul(f64x2.convert_low_i32x4_s(codes), f64x2.splat(scale)), f64x2.splat(offset))
  return f64x2.pmin(f64x2.pmax(at, f64x2.splat(0)), lastNode)
}

// @ts-ignore: decorator
@inline function cell(low: v128, high: v128, lastCell: v128): v128 {
  const cells = i64x2.shuffle(i32x4.trunc_sat_f64x2_s_zero(low), i32x4.trunc_sat_f64x2_s_zero(high), 0, 2)
  return i32x4.min_s(cells, lastCell)
}

// @ts-ignore: decorator
@inline function fraction(low: v128, high: v128, cell: v128): v128 {
  const first = f32x4.demote_f64x2_zero(f64x2.sub(low, f64x2.convert_low_i32x4_s(cell)))
  const second = f32x4.demote_f64x2_zero(f64x2.sub(high, f64x2.convert_low_i32x4_s(upperHalf(cell))))
  return i64x2.shuffle(first, second, 0, 2)
}

/** Four nodes times four weights, cut to 0…top, and rounded to whole numbers. */
// @ts-ignore: decorator
@inline function anyPixel(
  at: i32, all: usize, start: v128, first: v128, second: v128,
  w0: v128, w1: v128, w2: v128, w3: v128, ceiling: v128,
): v128 {
  const base = extract(start, at)
  const sum = f32x4.add(
    f32x4.add(
      f32x4.mul(v128.load(base), lane(w0, at)),
      f32x4.mul(v128.load(extract(first, at)), lane(w1, at)),
    ),
    f32x4.add(
      f32x4.mul(v128.load(extract(second, at)), lane(w2, at)),
      f32x4.mul(v128.load(base + all), lane(w3, at)),
    ),
  )
  // Added to 2^23, a number rounds to a whole one, which then stands in the low bits.
  const cut = f32x4.pmin(f32x4.pmax(sum, f32x4.splat(0)), ceiling)
  return v128.and(f32x4.add(cut, f32x4.splat(8388608)), i32x4.splat(65535))
}
