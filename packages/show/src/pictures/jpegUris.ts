import type { Frame } from '@isochip/frames'
import type { Picture } from '@isochip/report'
import sharp from 'sharp'

const qualities = [85, 75, 65, 55] as const

/**
 * 8-bit frames as JPEGs inside data URIs, as good as `bytes` for all of them together allow, and never worse than the
 * poorest quality that still shows its colours. `colour`: at full resolution of colour, for what is looked at for it;
 * `place`: lighter, for what is looked at for where things are.
 */
export async function jpegUris(
  frames: readonly Frame[],
  kind: 'colour' | 'place',
  bytes: number,
): Promise<Picture[]> {
  const chromaSubsampling = kind === 'colour' ? '4:4:4' : '4:2:0'
  const tried = kind === 'colour' ? qualities : qualities.slice(2)
  let pictures: Picture[] = []
  for (const quality of tried) {
    pictures = await Promise.all(
      frames.map(async ({ width, height, data }) => {
        const raw = { width, height, channels: 3 } as const
        const jpeg = await sharp(data as Uint8Array, { raw })
          // To count the symbols first makes such small pictures an eighth smaller, in twice the time.
          .jpeg({ quality, chromaSubsampling, optimiseCoding: false })
          .toBuffer()
        return { uri: `data:image/jpeg;base64,${jpeg.toString('base64')}`, width, height }
      }),
    )
    if (pictures.reduce((sum, { uri }) => sum + uri.length, 0) <= bytes) break
  }
  return pictures
}
