import { convertFrame, type Frame } from '../frame/frame.ts'
import { floatTiff } from './floatTiff.ts'
import { loadSharp } from './loadSharp.ts'

export type EncodeOptions =
  | {
      readonly format: 'png' | 'tiff'
      /** Depth of the file. Default: the frame's own; 16 for 10 to 14 bits, and for float in a PNG. */
      readonly bits?: 8 | 16 | 'float'
    }
  | {
      /** 8 bits, with losses: for looking at. */
      readonly format: 'jpeg'
      /** 1…100. */
      readonly quality: number
      /** Colour at full resolution, or at half of it each way. */
      readonly chroma: '4:4:4' | '4:2:0'
    }

/**
 * The usual 6 makes pictures of noisy 8-bit frames 12 % smaller, in four times the time, and frames of 16 bits, whose
 * low bits are noise, no smaller at all.
 */
const pngLevel = 2

/**
 * The bytes of an image file, without profile. At the frame's own depth (8, 16, float) `decodeFrame` gets the same
 * samples back; another depth is rounded after `convertFrame`.
 *
 * @throws RangeError for float in a PNG
 * @throws IsochipError `tool-missing`: sharp is not installed
 */
export async function encodeFrame(frame: Frame, options: EncodeOptions): Promise<Uint8Array> {
  if (options.format === 'jpeg') return await jpeg(frame, options.quality, options.chroma)
  const own = frame.bits === 8 || (frame.bits === 'float' && options.format === 'tiff') ? frame.bits : 16
  const bits = options.bits ?? own
  if (bits === 'float' && options.format === 'png') throw new RangeError('a PNG holds no floats')
  const { data, width, height, ...rest } = convertFrame(frame, bits)
  if (data instanceof Float32Array) return floatTiff({ data, width, height, ...rest })
  const sharp = await loadSharp()
  const image = sharp(data, { raw: { width, height, channels: 3 } }).toColourspace(
    bits === 16 ? 'rgb16' : 'srgb',
  )
  const written =
    options.format === 'png'
      ? image.png({ compressionLevel: pngLevel })
      : image.tiff({ compression: 'deflate', predictor: 'horizontal' })
  return await written.toBuffer()
}

async function jpeg(frame: Frame, quality: number, chromaSubsampling: string): Promise<Uint8Array> {
  const { data, width, height } = convertFrame(frame, 8)
  const sharp = await loadSharp()
  return await sharp(data, { raw: { width, height, channels: 3 } })
    // To count the symbols first makes small pictures an eighth smaller, in twice the time.
    .jpeg({ quality, chromaSubsampling, optimiseCoding: false })
    .toBuffer()
}
