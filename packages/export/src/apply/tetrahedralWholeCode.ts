import { loadPixels, seq, splatLane, storePixels } from './pixelCode.ts'
import { type Code, op, type WasmFunction } from './wasmAssembler.ts'

export interface WholeKernelOptions {
  readonly channels: 3 | 4
  /** Cells along an axis are 2^log, 1…7: lattices of 3, 5, 9, 17, 33, 65, 129 nodes a side. */
  readonly log: number
  /** Byte of memory at which the lattice begins. */
  readonly nodes: number
  /** Are there values of −64 and less, of 64 and more? Others are cut to 0…1 as they are packed. */
  readonly low: boolean
  readonly high: boolean
}

// Parameters, then locals, in the order of their declaration.
const local = {
  pointer: 0,
  end: 1,
  in0: 2,
  in1: 3,
  redGreen: 4,
  blue: 5,
  cells: 6,
  blueCells: 7,
  base: 8,
  key: [9, 10, 11],
  high: 12,
  low: 13,
  most: 14,
  middle: 15,
  least: 16,
  first: 17,
  second: 18,
  weight: [19, 20, 21, 22],
  pixel: [23, 24, 25, 26],
} as const
const v128Locals = 25

const get = op.localGet
const set = op.localSet
const whole = (value: number): Code => seq(op.i32_const(value), op.i32x4_splat)
const single = (value: number): Code => seq(op.f32_const(value), op.f32x4_splat)
const by = (value: Code, count: number, how: Code): Code => seq(value, op.i32_const(count), how)

/**
 * Tetrahedral interpolation of 16-bit pixels on a domain 0…1, in place, four at a time, for lattices of fractions whose
 * cells along an axis are a power of two: size³ nodes of four f32 (red, green, blue, unused), red-fastest.
 * Parameters: first byte, byte past the last.
 *
 * Everything before the nodes is in whole numbers, which is exact. With 2^log cells, the cell is code >> (16 − log), and
 * code · 2^log − cell · 65535, which is (code << log) + cell in the lower 16 bits, is how far into it, in 65535ths; the
 * highest code is at the far end of the last cell. That goes into the upper half of a key, and the nodes from here to
 * the next along the axis into the lower half, so that sorting the keys sorts both: the fractions fall from node to
 * node of the tetrahedron, and the ways lead there.
 */
export function tetrahedralWholeKernel(options: WholeKernelOptions): WasmFunction {
  const { channels, log, nodes } = options
  const size = 2 ** log + 1
  const all = 1 + size + size * size
  const body = seq(
    loadPixels(channels, local.pointer, local.in0, local.in1),
    keys(channels, log, size),
    sorted,
    addresses(all),
    weights,
    ...[0, 1, 2, 3].map((lane) => pixel(lane, nodes, nodes + 16 * all, options)),
    storePixels(channels, local.pointer, local.pixel, local),
    ...[get(local.pointer), op.i32_const(8 * channels), op.i32_add, op.localTee(local.pointer)],
    ...[get(local.end), op.i32_lt_u],
  )
  return { name: 'tetrahedral', parameters: 2, i32Locals: 0, v128Locals, body: op.loopWhile(body) }
}

/** The three keys of four pixels, and the first node of their cells. */
function keys(channels: 3 | 4, log: number, size: number): Code {
  const [r, g, b] = local.key
  const { redGreen, blue, cells, blueCells, in0, in1 } = local
  // A pixel a lane of 32 bits: red below green; blue, and above it something that drops out.
  const bytes = (at: readonly number[]) =>
    op.i8x16_shuffle([0, 1, 2, 3].flatMap((p) => at.map((i) => 2 * channels * p + i)))
  const split = (into: number, cellsInto: number): Code =>
    seq(
      ...[op.localTee(into), op.i32_const(16 - log), op.i16x8_shr_u, set(cellsInto)],
      ...[by(get(into), log, op.i16x8_shl), get(cellsInto), op.i16x8_add, set(into)],
    )
  return seq(
    ...[get(in0), get(in1), bytes([0, 1, 2, 3]), split(redGreen, cells)],
    ...[get(in0), get(in1), bytes([4, 5, 4, 5]), split(blue, blueCells)],
    ...[get(cells), whole(1 | (size << 16)), op.i32x4_dot_i16x8_s],
    ...[get(blueCells), whole(size * size), op.i32x4_dot_i16x8_s, op.i32x4_add, set(local.base)],
    ...[by(get(redGreen), 16, op.i32x4_shl), whole(1), op.v128_or, set(r)],
    ...[get(redGreen), whole(0xffff << 16), op.v128_and, whole(size), op.v128_or, set(g)],
    ...[by(get(blue), 16, op.i32x4_shl), whole(size * size), op.v128_or, set(b)],
  )
}

/** Three keys in falling order. */
const sorted: Code = (() => {
  const [r, g, b] = local.key
  const { high, low, most, middle, least } = local
  return seq(
    ...[get(r), get(g), op.i32x4_max_u, set(high), get(r), get(g), op.i32x4_min_u, set(low)],
    ...[get(high), get(b), op.i32x4_max_u, set(most), get(low), get(b), op.i32x4_min_u, set(least)],
    ...[get(low), get(high), get(b), op.i32x4_min_u, op.i32x4_max_u, set(middle)],
  )
})()

/** Bytes from the start of the lattice to the first three nodes; the fourth is `all` nodes behind the first. */
const addresses = (all: number): Code => {
  const way = (key: number): Code => seq(get(key), whole(0xffff), op.v128_and)
  const inBytes = (node: Code): Code => by(node, 4, op.i32x4_shl)
  return seq(
    ...[inBytes(seq(get(local.base), way(local.most), op.i32x4_add)), set(local.first)],
    inBytes(seq(get(local.base), whole(all), op.i32x4_add, way(local.least), op.i32x4_sub)),
    set(local.second),
    ...[inBytes(get(local.base)), set(local.base)],
  )
}

/** Weights of the four nodes in 65535ths: the steps from 65535 down the three fractions to 0. */
const weights: Code = (() => {
  const { most, middle, least, weight } = local
  const fraction = (key: number): Code => seq(by(get(key), 16, op.i32x4_shr_u), set(key))
  const float = (i: number): Code => seq(op.f32x4_convert_i32x4_s, set(weight[i]!))
  return seq(
    ...[fraction(most), fraction(middle), fraction(least)],
    ...[whole(65535), get(most), op.i32x4_sub, float(0)],
    ...[get(most), get(middle), op.i32x4_sub, float(1)],
    ...[get(middle), get(least), op.i32x4_sub, float(2)],
    ...[get(least), float(3)],
  )
})()

/** One pixel: four nodes times four weights, rounded to whole numbers. */
function pixel(lane: number, nodes: number, last: number, { low, high }: WholeKernelOptions): Code {
  const term = (vector: number, offset: number, weight: number): Code =>
    seq(
      ...[get(vector), op.i32x4_extract_lane(lane), op.v128_load(offset)],
      ...[get(weight), get(weight), op.i8x16_shuffle(splatLane(lane)), op.f32x4_mul],
    )
  const [w0, w1, w2, w3] = local.weight
  // Added to this, a number between −2^22 and 2^22 rounds to a whole one, which then stands in the low bits.
  const magic = 1.5 * 2 ** 23
  return seq(
    ...[term(local.base, nodes, w0), term(local.first, nodes, w1), op.f32x4_add],
    ...[term(local.second, nodes, w2), term(local.base, last, w3), op.f32x4_add, op.f32x4_add],
    ...(low ? [op.v128_const_zero, op.f32x4_pmax] : []),
    ...(high ? [single(65535), op.f32x4_pmin] : []),
    ...[single(magic), op.f32x4_add, whole(0x4b400000), op.i32x4_sub],
    set(local.pixel[lane]!),
  )
}
