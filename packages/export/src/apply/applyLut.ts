import { IsochipError } from '@isochip/core'
import { curve } from '../interpolate/curve.ts'
import type { Interpolation } from '../interpolate/lutTransform.ts'
import { tetrahedral } from '../interpolate/tetrahedral.ts'
import { trilinear } from '../interpolate/trilinear.ts'
import { type CurveLut, checkLut, type Lut } from '../lut/lut.ts'
import { tetrahedralCodes } from './tetrahedralCodes.ts'
import { type PixelKernel, tetrahedralSimd } from './tetrahedralSimd.ts'

export type PixelArray = Uint8Array | Uint16Array | Float32Array

/** Interleaved rows of pixels: RGB, or RGB and a fourth channel that is left alone. */
export interface PixelRows<T extends PixelArray = PixelArray> {
  readonly data: T
  readonly width: number
  readonly height: number
  /** Samples a pixel, 3 or 4; default 3. */
  readonly channels?: 3 | 4
  /** Samples from the start of a row to the start of the next; default width · channels. */
  readonly stride?: number
}

export interface ApplyOptions {
  /** Between the nodes of a 3D lattice; default `tetrahedral`. */
  readonly interpolation?: Interpolation
  /** The code value of fraction 1: default 255 for Uint8, 65535 for Uint16 (1023 for 10 bits in 16), 1 for float. */
  readonly top?: number
  /** `javascript` leaves WebAssembly out; default `auto`. */
  readonly engine?: 'auto' | 'javascript'
}

/** A LUT made ready for one kind of pixel. Rows may be given to several workers, each with its own. */
export interface PreparedLut {
  /**
   * Puts the LUT on rows `firstRow` (default 0) up to, not including, `endRow` (default height), in place, or into
   * the same rows of `into`, which has the same layout. Whole-number results are rounded and clipped to 0…top; float
   * results are not clipped. NaN counts as the lower end of the domain.
   *
   * @throws IsochipError `frame-size` when the data are shorter than the layout says, or the rows are not there.
   */
  apply<T extends PixelArray>(
    rows: PixelRows<T>,
    part?: { firstRow?: number; endRow?: number; into?: T },
  ): void
}

/** @throws IsochipError `lut-limits` for a LUT that is not sound. */
export function prepareLut(lut: Lut, options: ApplyOptions = {}): PreparedLut {
  checkLut(lut)
  const kernels = new Map<string, PixelKernel>()
  const kernelFor = (channels: 3 | 4, top: number): PixelKernel => {
    const key = `${channels} ${top}`
    const kernel = kernels.get(key) ?? makeKernel(lut, channels, top, options)
    kernels.set(key, kernel)
    return kernel
  }
  return {
    apply(rows, part = {}) {
      const { data, width, height, channels = 3, stride = width * channels } = rows
      const { firstRow = 0, endRow = height, into = data } = part
      checkRows(rows, channels, stride, firstRow, endRow, into.length)
      const oneRun = stride === width * channels
      const count = oneRun ? width * (endRow - firstRow) : width
      for (let row = firstRow; row < endRow; row += oneRun ? height : 1) {
        const at = row * stride
        if (data instanceof Float32Array) {
          floatPixels(lut, options, data, into as Float32Array, at, channels, count)
        } else {
          const top = options.top ?? (data instanceof Uint8Array ? 255 : 65535)
          kernelFor(channels, top).run(data, at, into as Uint8Array | Uint16Array, at, count)
        }
      }
    },
  }
}

/** `prepareLut(lut, options).apply(rows, options)`: for a single picture. */
export function applyLut<T extends PixelArray>(
  lut: Lut,
  rows: PixelRows<T>,
  options: ApplyOptions & { firstRow?: number; endRow?: number; into?: T } = {},
): void {
  prepareLut(lut, options).apply(rows, options)
}

function makeKernel(lut: Lut, channels: 3 | 4, top: number, options: ApplyOptions): PixelKernel {
  if (!Number.isInteger(top) || top < 1 || top > 65535) {
    throw new IsochipError('usage', `top is ${top}, expected a whole number from 1 to 65535`)
  }
  if (lut.kind === 'curve') return curveCodes(lut, channels, top)
  if (lut.kind === 'lattice' && options.interpolation !== 'trilinear') {
    const simd = options.engine === 'javascript' ? undefined : tetrahedralSimd(lut, channels, top)
    return simd ?? tetrahedralCodes(lut, channels, top)
  }
  const evaluate = evaluator(lut, options)
  const out = new Float64Array(3)
  return {
    run(source, from, target, to, count) {
      for (let p = 0; p < count; p++, from += channels, to += channels) {
        evaluate(source[from]! / top, source[from + 1]! / top, source[from + 2]! / top, out, 0)
        for (let c = 0; c < 3; c++) target[to + c] = code(out[c]!, top)
        if (channels === 4) target[to + 3] = source[from + 3]!
      }
    },
  }
}

function code(fraction: number, top: number): number {
  return Math.floor(Math.min(Math.max(fraction * top, 0), top) + 0.5)
}

/** A 1D LUT on whole numbers: every answer is worked out once. */
function curveCodes(lut: CurveLut, channels: 3 | 4, top: number): PixelKernel {
  const out = new Float64Array(3)
  const answers = new Uint16Array(3 * (top + 1))
  for (let v = 0; v <= top; v++) {
    curve(lut, v / top, v / top, v / top, out, 0)
    for (let c = 0; c < 3; c++) answers[3 * v + c] = code(out[c]!, top)
  }
  return {
    run(source, from, target, to, count) {
      for (let p = 0; p < count; p++, from += channels, to += channels) {
        for (let c = 0; c < 3; c++) target[to + c] = answers[3 * Math.min(source[from + c]!, top) + c]!
        if (channels === 4) target[to + 3] = source[from + 3]!
      }
    },
  }
}

type Evaluate = (r: number, g: number, b: number, out: Float64Array | Float32Array, at: number) => void

function evaluator(lut: Lut, { interpolation }: ApplyOptions): Evaluate {
  const lattice = interpolation === 'trilinear' ? trilinear : tetrahedral
  if (lut.kind === 'curve') return (r, g, b, out, at) => curve(lut, r, g, b, out, at)
  if (lut.kind === 'lattice') return (r, g, b, out, at) => lattice(lut, r, g, b, out, at)
  const between = new Float64Array(3)
  return (r, g, b, out, at) => {
    curve(lut.curve, r, g, b, between, 0)
    lattice(lut.lattice, between[0]!, between[1]!, between[2]!, out, at)
  }
}

function floatPixels(
  lut: Lut,
  options: ApplyOptions,
  source: Float32Array,
  target: Float32Array,
  from: number,
  channels: number,
  count: number,
): void {
  const evaluate = evaluator(lut, options)
  const top = options.top ?? 1
  for (let p = 0, i = from; p < count; p++, i += channels) {
    const alpha = source[i + 3]
    evaluate(source[i]! / top, source[i + 1]! / top, source[i + 2]! / top, target, i)
    if (top !== 1) for (let c = 0; c < 3; c++) target[i + c]! *= top
    if (channels === 4) target[i + 3] = alpha!
  }
}

function checkRows(
  rows: PixelRows,
  channels: number,
  stride: number,
  firstRow: number,
  endRow: number,
  intoLength: number,
): void {
  const { data, width, height } = rows
  const fail = (message: string): never => {
    throw new IsochipError('frame-size', message)
  }
  if (!(Number.isInteger(width) && Number.isInteger(height) && width > 0 && height > 0)) {
    fail(`the picture is ${width} × ${height}, expected whole numbers above 0`)
  }
  if (!Number.isInteger(stride) || stride < width * channels) {
    fail(`a row is ${stride} samples long, expected at least ${width * channels}`)
  }
  const needed = stride * (height - 1) + width * channels
  if (data.length < needed || intoLength < needed) {
    fail(`the picture has ${Math.min(data.length, intoLength)} samples, expected ${needed}`)
  }
  if (
    !(
      Number.isInteger(firstRow) &&
      Number.isInteger(endRow) &&
      firstRow >= 0 &&
      endRow <= height &&
      firstRow <= endRow
    )
  ) {
    fail(`rows ${firstRow} to ${endRow} of ${height} asked for`)
  }
}
