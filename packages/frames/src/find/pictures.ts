import type { Frame } from '../frame/frame.ts'
import { type EvenParts, evenParts } from './candidates/evenParts.ts'
import { type PatchCandidate, patchCandidates } from './candidates/patchCandidates.ts'
import { constants } from './constants.ts'
import { medianFilter } from './prepare/medianFilter.ts'
import { type WorkingImage, workingImage } from './prepare/workingImage.ts'
import { type Blobs, blobsOf } from './regions/blobs.ts'

/** What may still be spent on a frame; see `constants.budget`. */
export interface Budget {
  left: number
  growing: number
  /** For charts of regions. */
  regions: number
  /** There was more than is looked at. */
  full: boolean
}

/** The pictures that a frame is searched in, and what is even in them: each made once, whatever is looked for. */
export class Pictures {
  readonly frame: Frame
  readonly #budget: Budget
  readonly #sized = new Map<number, WorkingImage>()
  readonly #filtered = new Map<WorkingImage, WorkingImage>()
  readonly #parts = new Map<WorkingImage, EvenParts>()
  readonly #candidates = new Map<WorkingImage, readonly PatchCandidate[]>()
  readonly #blobs = new Map<WorkingImage, Blobs>()

  constructor(frame: Frame, budget: Budget) {
    this.frame = frame
    this.#budget = budget
  }

  /** The frame at a size, by the longest side. */
  sized(longest: number): WorkingImage {
    return once(this.#sized, longest, () => {
      const { frameMegapixel, megapixel } = constants.budget
      const image = workingImage(this.frame, longest)
      this.#spend(frameMegapixel, this.frame)
      this.#spend(megapixel, image)
      return image
    })
  }

  /** A picture filtered, made where it is looked at. */
  filtered(image: WorkingImage): WorkingImage {
    return once(this.#filtered, image, () => medianFilter(image))
  }

  /** A picture filtered, all of it. */
  filteredWhole(image: WorkingImage): WorkingImage {
    const median = this.filtered(image)
    median.need?.(0, 0, median.width, median.height)
    return median
  }

  parts(image: WorkingImage): EvenParts {
    return once(this.#parts, image, () => evenParts(image))
  }

  candidates(image: WorkingImage): readonly PatchCandidate[] {
    return once(this.#candidates, image, () => patchCandidates(this.parts(image)))
  }

  blobs(image: WorkingImage): Blobs {
    return once(this.#blobs, image, () => blobsOf(this.parts(image), image))
  }

  #spend(cost: number, { width, height }: { readonly width: number; readonly height: number }): void {
    this.#budget.left -= 1e-6 * cost * width * height
  }
}

function once<Key, Value>(known: Map<Key, Value>, key: Key, make: () => Value): Value {
  const there = known.get(key)
  if (there !== undefined) return there
  const made = make()
  known.set(key, made)
  return made
}
