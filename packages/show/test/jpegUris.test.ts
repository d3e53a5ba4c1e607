import { createFrame } from '@isochip/frames'
import sharp from 'sharp'
import { describe, expect, it } from 'vitest'
import { jpegUris } from '../src/pictures/jpegUris.ts'

/** Numbers in 0…255 by the linear congruence of Numerical Recipes: noise is the worst that a JPEG can get. */
function noise(length: number): Uint8Array {
  let state = 1
  return Uint8Array.from({ length }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state >>> 24
  })
}
const frame = createFrame(160, 90, noise(160 * 90 * 3), 8)
const weight = (pictures: readonly { uri: string }[]) =>
  pictures.reduce((sum, { uri }) => sum + uri.length, 0)

describe('jpegUris', () => {
  it('keeps to what all pictures together may weigh, and takes no less than it allows', async () => {
    const best = weight(await jpegUris([frame, frame], 'colour', Number.POSITIVE_INFINITY))
    const poorest = weight(await jpegUris([frame, frame], 'colour', 0))
    expect(poorest).toBeLessThan(0.7 * best)
    const between = await jpegUris([frame, frame], 'colour', best - 1)
    expect(weight(between)).toBeLessThan(best)
    expect(weight(between)).toBeGreaterThan(poorest)
  })

  it('writes pictures that others read, of the size that it says', async () => {
    const [{ uri, width, height }] = (await jpegUris([frame], 'colour', 0)) as [
      { uri: string; width: number; height: number },
    ]
    const read = await sharp(Buffer.from(uri.slice(uri.indexOf(',') + 1), 'base64')).metadata()
    expect(read).toMatchObject({ format: 'jpeg', width, height, chromaSubsampling: '4:4:4' })
    expect([width, height]).toEqual([160, 90])
  })
})
