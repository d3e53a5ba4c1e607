/**
 * The few WebAssembly encodings that the lattice kernel needs, so that the kernel stands here as readable
 * instructions and not as a block of bytes. Opcodes: WebAssembly Core Specification 2.0, section 5.4.
 */
export type Code = readonly number[]

/** Unsigned LEB128. */
function u32(value: number): number[] {
  const out: number[] = []
  let rest = value
  do {
    const low = rest & 0x7f
    rest >>>= 7
    out.push(rest === 0 ? low : low | 0x80)
  } while (rest !== 0)
  return out
}

/** Signed LEB128. */
function s32(value: number): number[] {
  const out: number[] = []
  let rest = value
  for (;;) {
    const low = rest & 0x7f
    rest >>= 7
    if ((rest === 0 && (low & 0x40) === 0) || (rest === -1 && (low & 0x40) !== 0)) return [...out, low]
    out.push(low | 0x80)
  }
}

const simd = (opcode: number, ...immediates: number[]): Code => [0xfd, ...u32(opcode), ...immediates]
const memory = (align: number, offset: number) => [align, ...u32(offset)]

/** Instructions. Names as in the specification, with `_` for `.`. */
export const op = {
  localGet: (i: number): Code => [0x20, ...u32(i)],
  localSet: (i: number): Code => [0x21, ...u32(i)],
  localTee: (i: number): Code => [0x22, ...u32(i)],
  i32_const: (value: number): Code => [0x41, ...s32(value)],
  f32_const: (value: number): Code => [0x43, ...new Uint8Array(Float32Array.of(value).buffer)],
  i32_add: [0x6a] as Code,
  i32_lt_u: [0x49] as Code,
  /** A loop whose body branches back to its head while the value it leaves is not zero. */
  loopWhile: (body: Code): Code => [0x03, 0x40, ...body, 0x0d, 0, 0x0b],
  v128_load: (offset: number): Code => simd(0, ...memory(0, offset)),
  v128_load32_splat: (offset: number): Code => simd(9, ...memory(2, offset)),
  v128_load64_splat: (offset: number): Code => simd(10, ...memory(3, offset)),
  v128_load64_zero: (offset: number): Code => simd(93, ...memory(0, offset)),
  v128_store: (offset: number): Code => simd(11, ...memory(0, offset)),
  v128_store64_lane: (offset: number, lane: number): Code => simd(91, ...memory(0, offset), lane),
  v128_const_zero: simd(12, ...new Array<number>(16).fill(0)),
  v128_and: simd(78),
  v128_bitselect: simd(82),
  i8x16_shuffle: (lanes: readonly number[]): Code => simd(13, ...lanes),
  v128_or: simd(80),
  i16x8_narrow_i32x4_u: simd(134),
  i16x8_shl: simd(139),
  i16x8_shr_u: simd(141),
  i16x8_add: simd(142),
  i32x4_splat: simd(17),
  f32x4_splat: simd(19),
  i32x4_extract_lane: (lane: number): Code => simd(27, lane),
  i32x4_extend_low_i16x8_u: simd(169),
  i32x4_shl: simd(171),
  i32x4_shr_u: simd(173),
  i32x4_add: simd(174),
  i32x4_sub: simd(177),
  i32x4_mul: simd(181),
  i32x4_min_s: simd(182),
  i32x4_min_u: simd(183),
  i32x4_max_u: simd(185),
  i32x4_dot_i16x8_s: simd(186),
  f32x4_convert_i32x4_s: simd(250),
  i32x4_trunc_sat_f64x2_s_zero: simd(252),
  f32x4_eq: simd(65),
  f32x4_add: simd(228),
  f32x4_sub: simd(229),
  f32x4_mul: simd(230),
  f32x4_pmin: simd(234),
  f32x4_pmax: simd(235),
  f32x4_demote_f64x2_zero: simd(94),
  f64x2_add: simd(240),
  f64x2_sub: simd(241),
  f64x2_mul: simd(242),
  f64x2_pmin: simd(246),
  f64x2_pmax: simd(247),
  f64x2_convert_low_i32x4_s: simd(254),
} as const

const section = (id: number, content: Code): Code => [id, ...u32(content.length), ...content]
const name = (text: string): Code => [...u32(text.length), ...[...text].map((c) => c.charCodeAt(0))]

/** A function of i32 parameters without result. */
export interface WasmFunction {
  readonly name: string
  readonly parameters: number
  readonly i32Locals: number
  readonly v128Locals: number
  readonly body: Code
}

/** A module with one imported memory, `env.memory`, and the given functions exported. */
export function wasmModule(functions: readonly WasmFunction[]): Uint8Array {
  const i32 = 0x7f
  const v128 = 0x7b
  const types = functions.map((f) => [
    0x60,
    ...u32(f.parameters),
    ...new Array<number>(f.parameters).fill(i32),
    0,
  ])
  const bodies = functions.map((f) => {
    const code = [2, ...u32(f.i32Locals), i32, ...u32(f.v128Locals), v128, ...f.body, 0x0b]
    return [...u32(code.length), ...code]
  })
  const list = (items: readonly Code[]): Code => [...u32(items.length), ...items.flat()]
  return Uint8Array.from([
    ...[0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00],
    ...section(1, list(types)),
    ...section(2, list([[...name('env'), ...name('memory'), 0x02, 0x00, 0x01]])),
    ...section(3, list(functions.map((_, i) => u32(i)))),
    ...section(7, list(functions.map((f, i) => [...name(f.name), 0x00, ...u32(i)]))),
    ...section(10, list(bodies)),
  ])
}
