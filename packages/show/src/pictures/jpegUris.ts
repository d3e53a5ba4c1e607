import type { Frame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import type { Picture } from '@isochip/report'

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
  const chroma = kind === 'colour' ? '4:4:4' : '4:2:0'
  const tried = kind === 'colour' ? qualities : qualities.slice(2)
  let pictures: Picture[] = []
  for (const quality of tried) {
    pictures = await Promise.all(
      frames.map(async (frame) => {
        const jpeg = Buffer.from(await encodeFrame(frame, { format: 'jpeg', quality, chroma }))
        const { width, height } = frame
        return { uri: `data:image/jpeg;base64,${jpeg.toString('base64')}`, width, height }
      }),
    )
    if (pictures.reduce((sum, { uri }) => sum + uri.length, 0) <= bytes) break
  }
  return pictures
}
