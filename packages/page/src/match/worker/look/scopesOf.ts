import type { Range } from '@isochip/core'
import { codesOf } from '../../../live/form/signalForm.ts'
import { scopeLayout } from '../../../scopes/scopeLayout.ts'
import { scopePicture } from '../../../scopes/scopePicture.ts'
import type { ScopePixels } from '../../../scopes/trace.ts'
import type { Answers, Ask } from '../../messages.ts'

/** Scopes of a still as its preview has it, with those of the reference camera behind. */
export async function scopesOf({
  picture,
  range,
  standard,
  target,
}: Extract<Ask, { kind: 'scopes' }>): Promise<Answers['scopes']> {
  const { width, height } = scopeLayout
  const behind = target === undefined ? undefined : pixelsOf(target, range)
  return await createImageBitmap(
    new ImageData(scopePicture(pixelsOf(picture, range), standard, behind), width, height),
  )
}

/** Codes of a preview as levels. */
function pixelsOf(picture: ImageBitmap, range: Range): ScopePixels {
  const { width, height } = picture
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true })!
  context.drawImage(picture, 0, 0)
  picture.close()
  const { data } = context.getImageData(0, 0, width, height)
  const { black, peak } = codesOf(range)
  const rgb = new Int16Array(3 * width * height)
  for (let from = 0, to = 0; from < data.length; from += 4, to += 3) {
    rgb[to] = data[from]! - black
    rgb[to + 1] = data[from + 1]! - black
    rgb[to + 2] = data[from + 2]! - black
  }
  return { width, height, data: rgb, unit: peak }
}
