import { resolveEncoding } from '@isochip/core'
import { applyLut, bakeMatch } from '@isochip/export'
import type { Answers, Ask } from '../../messages.ts'

/** Nodes per axis: what is looked at needs no more. */
const size = 33

/** A picture of a camera as its LUT makes it. */
export async function previewMatch({
  lut: { source, output, ...rest },
  picture,
}: Extract<Ask, { kind: 'preview' }>): Promise<Answers['preview']> {
  const { width, height } = picture
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true })!
  context.drawImage(picture, 0, 0)
  picture.close()
  const pixels = context.getImageData(0, 0, width, height)
  const match = { ...rest, source: resolveEncoding(source), output: resolveEncoding(output) }
  const lut = bakeMatch(match, { size })
  const rows = { data: new Uint8Array(pixels.data.buffer), width, height, channels: 4 as const }
  applyLut(lut, rows)
  return await createImageBitmap(pixels)
}
