import { decodeRgb, resolveEncoding } from '@isochip/core'
import { decodeFrame } from '@isochip/frames/node'
import type { Photograph } from './coverPatches.ts'

/** Parts of photographs by `FILE left top right bottom`, in pixels; taken as sRGB. */
export async function readPhotographs(words: readonly string[]): Promise<Photograph[]> {
  const photographs: Photograph[] = []
  const srgb = resolveEncoding('srgb')
  for (let k = 0; k + 4 < words.length; k += 5) {
    const file = words[k]!
    const [left, top, right, bottom] = words.slice(k + 1, k + 5).map(Number) as [
      number,
      number,
      number,
      number,
    ]
    const frame = await decodeFrame(file)
    const [width, height] = [right - left, bottom - top]
    const light = new Float32Array(3 * width * height)
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const at = 3 * ((y + top) * frame.width + x + left)
        const code = (c: number) => frame.data[at + c]! / frame.codeScale
        light.set(decodeRgb(srgb, [code(0), code(1), code(2)]), 3 * (y * width + x))
      }
    photographs.push({ width, height, light })
  }
  return photographs
}
