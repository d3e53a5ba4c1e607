import { IsochipError } from '@isochip/core'
import { createFrame, type DecodedFrame, isRawTiff } from '@isochip/frames'
import { decode as decodePng } from 'fast-png'
import { decode as decodeTiff } from 'tiff'
import type { NamedFile } from '../messages.ts'
import { deepPng } from './deepPng.ts'

type Samples = Uint8Array | Uint16Array | Float32Array

/**
 * A still, as its file has it: PNG and TIFF with all their bits, anything else by the browser, in 8 bits.
 *
 * @throws IsochipError `frame-unreadable`
 */
export async function decodeFile({ path, file }: NamedFile): Promise<DecodedFrame> {
  const bytes = new Uint8Array(await file.arrayBuffer())
  if (await isRawTiff(async (at, length) => bytes.subarray(at, at + length)))
    throw new IsochipError('frame-unreadable', `${path} is camera raw, which the page does not develop`, {
      hint: 'the command reads it (isochip match), or save a linear 16-bit TIFF without any look',
      place: { file: path },
    })
  const starts = (...codes: number[]) => codes.every((code, i) => bytes[i] === code)
  try {
    if (starts(0x89, 0x50, 0x4e, 0x47))
      return isPlainPng(bytes) ? await plainPng(bytes, path) : await fromPng(bytes, path)
    if (starts(0x49, 0x49, 42, 0) || starts(0x4d, 0x4d, 0, 42)) return fromTiff(bytes, path)
    return await byBrowser(file, path)
  } catch (cause) {
    if (cause instanceof IsochipError) throw cause
    throw new IsochipError('frame-unreadable', `${path} cannot be read: ${(cause as Error).message}`, {
      hint: 'PNG and TIFF of 8 or 16 bits, JPEG, WebP, or readings as .csv; is the file whole?',
      place: { file: path },
      cause,
    })
  }
}

const framed = (width: number, height: number, data: Samples, name: string): DecodedFrame => ({
  ...createFrame(width, height, data, undefined, name),
  warnings: [],
})

async function fromPng(bytes: Uint8Array<ArrayBuffer>, name: string): Promise<DecodedFrame> {
  const deep = await deepPng(bytes)
  if (deep !== undefined) return framed(deep.width, deep.height, deep.data, name)
  const png = decodePng(bytes)
  const { width, height, channels, depth, palette } = png
  if (palette !== undefined) {
    const out = new Uint8Array(3 * width * height)
    for (let i = 0; i < width * height; i++) out.set(palette[png.data[i]!]!.slice(0, 3), 3 * i)
    return framed(width, height, out, name)
  }
  const { buffer, byteOffset, length } = png.data
  const data =
    depth === 16 ? new Uint16Array(buffer, byteOffset, length) : new Uint8Array(buffer, byteOffset, length)
  return framed(width, height, threeChannels(data, width * height, channels), name)
}

/**
 * R′G′B′ of 8 bits and nothing else: the browser has the codes as they are, a tenth of the time. It hands them out where it knows
 * WebCodecs; from a canvas some browsers give them with noise, against being recognised.
 */
function isPlainPng(bytes: Uint8Array): boolean {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  if (!('ImageDecoder' in globalThis) || bytes.length < 33 || bytes[24] !== 8 || bytes[25] !== 2) return false
  for (let at = 8; at + 12 <= bytes.length; at += 12 + view.getUint32(at)) {
    const type = new TextDecoder().decode(bytes.subarray(at + 4, at + 8))
    if (type === 'IDAT') return true
    // A colour that is transparent, and pictures that move.
    if (type === 'tRNS' || type === 'acTL') return false
  }
  return false
}

async function plainPng(bytes: Uint8Array<ArrayBuffer>, name: string): Promise<DecodedFrame> {
  const decoder = new ImageDecoder({ data: bytes, type: 'image/png', colorSpaceConversion: 'none' })
  try {
    const { image } = await decoder.decode()
    const { codedWidth: width, codedHeight: height, format } = image
    const inOrder = format?.startsWith('R')
    const rows = new Uint8Array(image.allocationSize())
    await image.copyTo(rows).finally(() => image.close())
    if (!/^(RGB|BGR)[AX]$/.test(format ?? '') || rows.length !== 4 * width * height)
      return await fromPng(bytes, name)
    const [red, blue] = inOrder ? [0, 2] : [2, 0]
    const data = new Uint8Array(3 * width * height)
    for (let from = 0, to = 0; from < rows.length; from += 4, to += 3) {
      data[to] = rows[from + red]!
      data[to + 1] = rows[from + 1]!
      data[to + 2] = rows[from + blue]!
    }
    return framed(width, height, data, name)
  } catch {
    // What is wrong with a file, the other decoder says in words.
    return await fromPng(bytes, name)
  } finally {
    decoder.close()
  }
}

function fromTiff(bytes: Uint8Array, name: string): DecodedFrame {
  const [page] = decodeTiff(bytes, { pages: [0] })
  if (page === undefined) throw new Error('there is no picture in it')
  const { width, height, samplesPerPixel, data } = page
  if (!(data instanceof Uint8Array || data instanceof Uint16Array || data instanceof Float32Array))
    throw new Error(`samples of ${page.bitsPerSample} bits`)
  return framed(width, height, threeChannels(data, width * height, samplesPerPixel), name)
}

async function byBrowser(file: Blob, path: string): Promise<DecodedFrame> {
  const bitmap = await createImageBitmap(file, {
    colorSpaceConversion: 'none',
    premultiplyAlpha: 'none',
    imageOrientation: 'none',
  })
  const { width, height } = bitmap
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true })!
  context.drawImage(bitmap, 0, 0)
  bitmap.close()
  const { data } = context.getImageData(0, 0, width, height)
  return framed(width, height, threeChannels(new Uint8Array(data.buffer), width * height, 4), path)
}

/** R, G, B of each pixel; grey is three times the same, what comes after the third is left out. */
function threeChannels<T extends Samples>(data: T, pixels: number, channels: number): T {
  if (channels === 3) return data
  const out = new (data.constructor as new (length: number) => T)(3 * pixels)
  const colour = channels > 2
  for (let i = 0; i < pixels; i++) {
    for (let c = 0; c < 3; c++) out[3 * i + c] = data[channels * i + (colour ? c : 0)]!
  }
  return out
}
