import { type Code, op } from './wasmAssembler.ts'

/*
 * Four interleaved 16-bit pixels in and out of vectors, for the kernels. Locals are given by their numbers.
 */

export const seq = (...parts: readonly Code[]): Code => parts.flat()

/** The 8 · channels bytes at `pointer` to `in0` and `in1`. */
export function loadPixels(channels: 3 | 4, pointer: number, in0: number, in1: number): Code {
  return seq(
    ...[op.localGet(pointer), op.v128_load(0), op.localSet(in0)],
    op.localGet(pointer),
    channels === 3 ? op.v128_load64_zero(16) : op.v128_load(16),
    op.localSet(in1),
  )
}

/** Channel c of the four pixels as whole numbers. */
export function samplesOf(channels: 3 | 4, c: 0 | 1 | 2, in0: number, in1: number): Code {
  // Sample c of pixel p starts at byte 2 · (p · channels + c) of the two vectors taken as one.
  const low = [0, 1, 2, 3].flatMap((p) => {
    const at = 2 * (p * channels + c)
    return [at, at + 1]
  })
  return seq(
    ...[op.localGet(in0), op.localGet(in1), op.i8x16_shuffle([...low, ...low])],
    op.i32x4_extend_low_i16x8_u,
  )
}

/** Four pixels of whole numbers, cut to 16 bits, to `pointer`; a fourth channel is written as it was. */
export function storePixels(
  channels: 3 | 4,
  pointer: number,
  pixel: readonly number[],
  { in0, in1, low, high }: { in0: number; in1: number; low: number; high: number },
): Code {
  const narrow = (a: number, b: number): Code =>
    seq(op.localGet(pixel[a]!), op.localGet(pixel[b]!), op.i16x8_narrow_i32x4_u)
  const get = op.localGet
  if (channels === 3) {
    return seq(
      ...[narrow(0, 1), op.localSet(low), narrow(2, 3), op.localSet(high)],
      ...[get(pointer), get(low), get(high)],
      op.i8x16_shuffle([0, 1, 2, 3, 4, 5, 8, 9, 10, 11, 12, 13, 16, 17, 18, 19]),
      op.v128_store(0),
      ...[get(pointer), get(high), get(high)],
      op.i8x16_shuffle([4, 5, 8, 9, 10, 11, 12, 13, 0, 0, 0, 0, 0, 0, 0, 0]),
      op.v128_store64_lane(16, 0),
    )
  }
  const keepAlpha = [0, 1, 2, 3, 4, 5, 22, 23, 8, 9, 10, 11, 12, 13, 30, 31]
  return seq(
    ...[get(pointer), narrow(0, 1), get(in0), op.i8x16_shuffle(keepAlpha), op.v128_store(0)],
    ...[get(pointer), narrow(2, 3), get(in1), op.i8x16_shuffle(keepAlpha), op.v128_store(16)],
  )
}

/** Bytes of a shuffle that puts one of four 32-bit lanes into all of them. */
export const splatLane = (lane: number): readonly number[] =>
  [0, 1, 2, 3].flatMap(() => [0, 1, 2, 3].map((i) => 4 * lane + i))
