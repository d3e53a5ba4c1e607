import type { Frame } from '@isochip/frames'
import type { Picture } from '@isochip/report'
import sharp from 'sharp'

/**
 * An 8-bit frame as a JPEG inside a data URI. `colour`: at full resolution, for what is looked at for its colour;
 * `place`: lighter, for what is looked at for where things are.
 */
export async function jpegUri(frame: Frame, kind: 'colour' | 'place'): Promise<Picture> {
  const { width, height } = frame
  const bytes = await sharp(frame.data as Uint8Array, { raw: { width, height, channels: 3 } })
    .jpeg(kind === 'colour' ? { quality: 85, chromaSubsampling: '4:4:4' } : { quality: 60 })
    .toBuffer()
  return { uri: `data:image/jpeg;base64,${bytes.toString('base64')}`, width, height }
}
