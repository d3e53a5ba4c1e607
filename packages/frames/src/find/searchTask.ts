import type { Budget } from './budget.ts'
import { constants } from './constants.ts'
import type { Pictures } from './pictures.ts'
import type { ChartCandidate } from './place/placements.ts'
import type { WorkingImage } from './prepare/workingImage.ts'

/** One size of a frame, and what is looked for there. */
export interface SearchTask {
  readonly pictures: Pictures
  readonly image: WorkingImage
  readonly candidates: readonly ChartCandidate[]
  readonly budget: Budget
}

/**
 * The picture at a size that shows the edges of a small chart well, as far as the frame goes.
 *
 * @param make what makes it; default whole
 */
export function finerImage(
  { pictures, image }: SearchTask,
  pixels: number,
  make = (longest: number) => pictures.sized(longest),
): WorkingImage {
  const { pitch: finePitch, finest, leastFiner, sizeStep } = constants.refine
  const { frame } = pictures
  const pitch = pixels * image.scale
  const longest = Math.max(frame.width, frame.height) * image.scale
  const wanted = longest * Math.min(finest, finePitch / pitch)
  return image.scale === 1 || wanted < leastFiner * longest
    ? image
    : make(sizeStep * Math.ceil(wanted / sizeStep))
}
