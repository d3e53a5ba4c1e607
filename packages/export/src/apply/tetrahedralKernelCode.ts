import { loadPixels, samplesOf, seq, splatLane, storePixels } from './pixelCode.ts'
import { type Code, op, type WasmFunction } from './wasmAssembler.ts'

/** Where the constants stand in the kernel's memory, in bytes. */
export const kernelLayout = {
  /** Three f64: position on the axis = code · scale + offset. */
  scale: 0,
  offset: 24,
  /** f64: size − 1. */
  lastNode: 48,
  /** i32: size − 2. */
  lastCell: 56,
  /** Three i32: bytes from a node to the next along red, green, blue; then all three together. */
  step: 60,
  all: 72,
  /** f32: 1, 2^23 and the highest code value. */
  one: 76,
  magic: 80,
  top: 84,
  /** i32: 65535. */
  mask: 88,
  /** For `unit` kernels. i32: size − 1 and 1; f32: 1 / 65535. */
  lastNodeInteger: 92,
  oneInteger: 96,
  perRemainder: 100,
  /** The lattice: size³ nodes of four f32 (red, green, blue in code values, unused), red-fastest. */
  nodes: 128,
} as const

// Parameters and locals, in the order of their declaration.
const local = {
  pointer: 0,
  end: 1,
  all: 2,
  scale: [3, 4, 5],
  offset: [6, 7, 8],
  step: [9, 10, 11],
  lastNode: 12,
  lastCell: 13,
  one: 14,
  magic: 15,
  top: 16,
  in0: 17,
  in1: 18,
  x: 19,
  low: 20,
  high: 21,
  cell: 22,
  base: 23,
  fraction: [24, 25, 26],
  most: 27,
  least: 28,
  first: 29,
  second: 30,
  weight: [31, 32, 33],
  pixel: [34, 35, 36, 37],
  middle: 38,
  mask: 39,
  lastNodeInteger: 40,
  oneInteger: 41,
  perRemainder: 42,
} as const
const i32Locals = 1
const v128Locals = 40

const get = op.localGet
const set = op.localSet
const lowHalves = [0, 1, 2, 3, 4, 5, 6, 7, 16, 17, 18, 19, 20, 21, 22, 23]
const highHalf = [8, 9, 10, 11, 12, 13, 14, 15, 8, 9, 10, 11, 12, 13, 14, 15]

/**
 * Tetrahedral interpolation of 16-bit pixels in place, four at a time: positions, order of the fractions and weights
 * are worked out for four pixels side by side, then each pixel adds up its four nodes, red, green and blue side by
 * side. Positions are in double precision, since in single precision a step of the code value at the far end of a
 * large lattice would be off by more than the picture's own step; with `unit`, for codes 0…65535 on a domain 0…1,
 * they are whole numbers, which is as exact and takes less. The usual sizes have a kernel of their own for that,
 * `tetrahedralWholeKernel`. Parameters: first byte, byte past the last.
 */
export function tetrahedralKernel(channels: 3 | 4, unit: boolean): WasmFunction {
  const layout = kernelLayout
  const constants = seq(
    ...[0, 1, 2].map((c) =>
      seq(
        ...[op.i32_const(0), op.v128_load64_splat(layout.scale + 8 * c), set(local.scale[c]!)],
        ...[op.i32_const(0), op.v128_load64_splat(layout.offset + 8 * c), set(local.offset[c]!)],
        ...[op.i32_const(0), op.v128_load32_splat(layout.step + 4 * c), set(local.step[c]!)],
      ),
    ),
    ...[op.i32_const(0), op.v128_load64_splat(layout.lastNode), set(local.lastNode)],
    ...[op.i32_const(0), op.v128_load32_splat(layout.lastCell), set(local.lastCell)],
    ...[op.i32_const(0), op.v128_load32_splat(layout.one), set(local.one)],
    ...(['magic', 'mask', 'lastNodeInteger', 'oneInteger', 'perRemainder'] as const).map((name) =>
      seq(op.i32_const(0), op.v128_load32_splat(layout[name]), set(local[name])),
    ),
    ...[op.i32_const(0), op.v128_load32_splat(layout.top), set(local.top)],
    ...[op.i32_const(0), op.v128_load32_splat(layout.all), op.i32x4_extract_lane(0), set(local.all)],
  )
  const bytes = 8 * channels
  const body = seq(
    loadPixels(channels, local.pointer, local.in0, local.in1),
    ...([0, 1, 2] as const).map((c) =>
      seq(
        samplesOf(channels, c, local.in0, local.in1),
        set(local.x),
        unit ? unitAxis(c) : axis(c),
        addToBase(c),
      ),
    ),
    weights,
    ...[0, 1, 2, 3].map(pixel),
    storePixels(channels, local.pointer, local.pixel, local),
    ...[get(local.pointer), op.i32_const(bytes), op.i32_add, op.localTee(local.pointer)],
    ...[get(local.end), op.i32_lt_u],
  )
  return {
    name: 'tetrahedral',
    parameters: 2,
    i32Locals,
    v128Locals,
    body: seq(constants, op.loopWhile(body)),
  }
}

/** Cell and fraction of four pixels along one axis, any domain. */
function axis(c: 0 | 1 | 2): Code {
  const position = (half: Code): Code =>
    seq(
      half,
      op.f64x2_convert_low_i32x4_s,
      ...[get(local.scale[c]!), op.f64x2_mul, get(local.offset[c]!), op.f64x2_add],
      // pmin and pmax keep their first operand unless the second is beyond it.
      ...[op.v128_const_zero, op.f64x2_pmax, get(local.lastNode), op.f64x2_pmin],
    )
  const highOf = (i: number): Code => seq(get(i), get(i), op.i8x16_shuffle(highHalf))
  const fraction = (p: number, cell: Code): Code =>
    seq(get(p), cell, op.f64x2_convert_low_i32x4_s, op.f64x2_sub, op.f32x4_demote_f64x2_zero)
  return seq(
    ...[position(get(local.x)), set(local.low), position(highOf(local.x)), set(local.high)],
    ...[get(local.low), op.i32x4_trunc_sat_f64x2_s_zero, get(local.high), op.i32x4_trunc_sat_f64x2_s_zero],
    ...[op.i8x16_shuffle(lowHalves), get(local.lastCell), op.i32x4_min_s, set(local.cell)],
    ...[fraction(local.low, get(local.cell)), fraction(local.high, highOf(local.cell))],
    ...[op.i8x16_shuffle(lowHalves), set(local.fraction[c]!)],
  )
}

/**
 * The same for codes 0…65535 on a domain 0…1. With t = code · (size − 1) the cell is t / 65535, which is
 * (t + ⌊t / 2^16⌋ + 1) / 2^16, both rounded down, and the fraction is what is left over 65535.
 */
function unitAxis(c: 0 | 1 | 2): Code {
  return seq(
    ...[get(local.x), get(local.lastNodeInteger), op.i32x4_mul, set(local.x)],
    ...[get(local.x), get(local.x), op.i32_const(16), op.i32x4_shr_u, op.i32x4_add],
    ...[get(local.oneInteger), op.i32x4_add, op.i32_const(16), op.i32x4_shr_u],
    ...[get(local.lastCell), op.i32x4_min_s, set(local.cell)],
    ...[get(local.x), get(local.cell), op.i32x4_add, get(local.cell), op.i32_const(16), op.i32x4_shl],
    ...[op.i32x4_sub, op.f32x4_convert_i32x4_s, get(local.perRemainder), op.f32x4_mul],
    set(local.fraction[c]!),
  )
}

/** Adds the cell's bytes along axis c to the address of the cell's first node. */
function addToBase(c: 0 | 1 | 2): Code {
  return seq(
    ...[get(local.cell), get(local.step[c]!), op.i32x4_mul],
    ...(c === 0 ? [] : [get(local.base), op.i32x4_add]),
    set(local.base),
  )
}

/** Falling order of the three fractions → the two nodes in between, and the weights. See `tetrahedral`. */
const weights: Code = (() => {
  const [r, g, b] = local.fraction
  const [stepR, stepG, stepB] = local.step
  const choose = (a: Code, otherwise: Code, when: Code): Code => seq(a, otherwise, when, op.v128_bitselect)
  const equal = (x: number, y: number): Code => seq(get(x), get(y), op.f32x4_eq)
  return seq(
    ...[get(r), get(g), op.f32x4_pmax, get(b), op.f32x4_pmax, set(local.most)],
    ...[get(r), get(g), op.f32x4_pmin, get(b), op.f32x4_pmin, set(local.least)],
    ...[get(r), get(g), op.f32x4_pmax, get(b), op.f32x4_pmin],
    ...[get(r), get(g), op.f32x4_pmin, op.f32x4_pmax, set(local.middle)],
    choose(get(stepR), choose(get(stepG), get(stepB), equal(g, local.most)), equal(r, local.most)),
    ...[get(local.base), op.i32x4_add, set(local.first)],
    ...[get(local.base), get(stepR), op.i32x4_add, get(stepG), op.i32x4_add, get(stepB), op.i32x4_add],
    choose(get(stepB), choose(get(stepG), get(stepR), equal(g, local.least)), equal(b, local.least)),
    ...[op.i32x4_sub, set(local.second)],
    ...[get(local.one), get(local.most), op.f32x4_sub, set(local.weight[0])],
    ...[get(local.most), get(local.middle), op.f32x4_sub, set(local.weight[1])],
    ...[get(local.middle), get(local.least), op.f32x4_sub, set(local.weight[2])],
  )
})()

/** One pixel: four nodes times four weights, rounded. */
function pixel(lane: number): Code {
  const term = (address: Code, weight: number): Code =>
    seq(
      ...[address, op.v128_load(kernelLayout.nodes)],
      ...[get(weight), get(weight), op.i8x16_shuffle(splatLane(lane)), op.f32x4_mul],
    )
  const laneOf = (vector: number): Code => seq(get(vector), op.i32x4_extract_lane(lane))
  return seq(
    ...[term(laneOf(local.base), local.weight[0]), term(laneOf(local.first), local.weight[1]), op.f32x4_add],
    ...[term(laneOf(local.second), local.weight[2])],
    ...[term(seq(laneOf(local.base), get(local.all), op.i32_add), local.least), op.f32x4_add, op.f32x4_add],
    // Added to 2^23, a number rounds to a whole one, which then stands in the low bits.
    ...[op.v128_const_zero, op.f32x4_pmax, get(local.top), op.f32x4_pmin, get(local.magic), op.f32x4_add],
    ...[get(local.mask), op.v128_and],
    set(local.pixel[lane]!),
  )
}
