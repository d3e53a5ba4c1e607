import type { Frame } from '@isochip/frames'
import type { Picture } from '@isochip/report'
import sharp from 'sharp'

/** An 8-bit frame as a JPEG inside a data URI; colour at full resolution, since colour is what it is looked at for. */
export async function jpegUri(frame: Frame): Promise<Picture> {
  const { width, height } = frame
  const bytes = await sharp(frame.data as Uint8Array, { raw: { width, height, channels: 3 } })
    .jpeg({ quality: 85, chromaSubsampling: '4:4:4' })
    .toBuffer()
  return { uri: `data:image/jpeg;base64,${bytes.toString('base64')}`, width, height }
}
