import { endianness } from 'node:os'
import type { Frame, FrameBits } from '../../frame/frame.ts'
import { samplesOf } from '../samplesOf.ts'

/** How the samples of a raw picture without chroma subsampling lie in memory. */
export interface RgbLayout {
  /** Where R, G, B begin: plane number if planar, sample within the pixel if packed. */
  readonly order: readonly [number, number, number]
  readonly planar: boolean
  /** Planes, or samples per pixel. */
  readonly parts: 1 | 3 | 4
  readonly bits: FrameBits
  readonly bytes: 1 | 2 | 4
  readonly bigEndian: boolean
  readonly alpha: boolean
}

const depths: readonly number[] = [8, 10, 12, 14, 16]

/** The layout that an ffmpeg pixel format name stands for; `undefined` for YCbCr and anything else. */
export function rgbLayout(name: string): RgbLayout | undefined {
  const planar = /^gbr(a?)p(f32|\d*)(le|be)?$/.exec(name)
  if (planar !== null) {
    const alpha = planar[1] === 'a'
    // Planes come green, blue, red.
    return layout([2, 0, 1], true, alpha ? 4 : 3, planar[2] || '8', planar[3] === 'be', alpha)
  }
  const grey = /^gray(f32|\d*)(le|be)?$/.exec(name)
  if (grey !== null) return layout([0, 0, 0], true, 1, grey[1] || '8', grey[2] === 'be', false)
  // A fourth byte that means nothing.
  const padded = /^(0?)(rgb|bgr)(0?)$/.exec(name)
  if (padded !== null && (padded[1] === '') !== (padded[3] === '')) {
    const first = padded[1] === '' ? 0 : 1
    const order = padded[2] === 'rgb' ? ([0, 1, 2] as const) : ([2, 1, 0] as const)
    const [r, g, b] = order.map((at) => at + first) as [number, number, number]
    return layout([r, g, b], false, 4, '8', false, false)
  }
  const packed = /^(rgb|bgr)(24|48|a|a64)(le|be)?$/.exec(name)
  if (packed !== null) {
    const alpha = packed[2]!.startsWith('a')
    const bits = packed[2] === '24' || packed[2] === 'a' ? '8' : '16'
    return layout(
      packed[1] === 'rgb' ? [0, 1, 2] : [2, 1, 0],
      false,
      alpha ? 4 : 3,
      bits,
      packed[3] === 'be',
      alpha,
    )
  }
  return undefined
}

function layout(
  order: RgbLayout['order'],
  planar: boolean,
  parts: 1 | 3 | 4,
  depth: string,
  bigEndian: boolean,
  alpha: boolean,
): RgbLayout | undefined {
  const bits = depth === 'f32' ? ('float' as const) : Number(depth)
  if (bits !== 'float' && !depths.includes(bits)) return undefined
  const bytes = bits === 'float' ? 4 : bits === 8 ? 1 : 2
  return { order, planar, parts, bits: bits as FrameBits, bytes, bigEndian, alpha }
}

/** Bytes of a picture. */
export const layoutBytes = ({ parts, bytes }: RgbLayout, width: number, height: number) =>
  parts * bytes * width * height

/** Raw bytes → interleaved RGB samples; alpha is dropped. */
export function unpackRgb(raw: Buffer, pixels: RgbLayout, width: number, height: number): Frame['data'] {
  const { order, planar, parts, bytes, bigEndian, bits } = pixels
  const count = width * height
  const samples = samplesOf(bigEndian === hostIsBigEndian ? raw : swapped(raw, bytes), bits)
  const out = new (samples.constructor as new (length: number) => Frame['data'])(3 * count)
  const step = planar ? 1 : parts
  let [r, g, b] = planar ? [order[0] * count, order[1] * count, order[2] * count] : order
  for (let to = 0; to < out.length; to += 3) {
    out[to] = samples[r]!
    out[to + 1] = samples[g]!
    out[to + 2] = samples[b]!
    r += step
    g += step
    b += step
  }
  return out
}

const hostIsBigEndian = endianness() === 'BE'

/** The bytes of each sample the other way round, in memory of their own. */
function swapped(raw: Buffer, bytes: RgbLayout['bytes']): Buffer {
  if (bytes === 1) return raw
  const copy = Buffer.from(raw)
  return bytes === 2 ? copy.swap16() : copy.swap32()
}
