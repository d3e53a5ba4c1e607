import type { Frame } from '../frame/frame.ts'
import type { Budget } from './budget.ts'
import { type EvenParts, evenParts } from './candidates/evenParts.ts'
import { type PatchCandidate, patchCandidates } from './candidates/patchCandidates.ts'
import { constants } from './constants.ts'
import { medianFilter } from './prepare/medianFilter.ts'
import { pictureInParts } from './prepare/pictureInParts.ts'
import { reducedFrame } from './prepare/reducedFrame.ts'
import { type WorkingImage, workingImage } from './prepare/workingImage.ts'
import { type Blobs, blobsOf } from './regions/blobs.ts'

/** The pictures that a frame is searched in, and what is even in them: each made once, whatever is looked for. */
export class Pictures {
  readonly frame: Frame
  readonly #budget: Budget
  #reduced: Frame | undefined
  readonly #sized = new Map<number, WorkingImage>()
  readonly #inParts = new Map<number, WorkingImage>()
  readonly #filtered = new Map<WorkingImage, WorkingImage>()
  /** Filtered in all their parts. */
  readonly #whole = new Set<WorkingImage>()
  readonly #parts = new Map<WorkingImage, EvenParts>()
  readonly #candidates = new Map<WorkingImage, readonly PatchCandidate[]>()
  readonly #blobs = new Map<WorkingImage, Blobs>()

  constructor(frame: Frame, budget: Budget) {
    this.frame = frame
    this.#budget = budget
  }

  /** The frame at a size, by the longest side. */
  sized(longest: number): WorkingImage {
    return once(this.#sized, longest, () => this.#made(longest, (frame) => workingImage(frame, longest)))
  }

  /** The same where it is looked at, with the tones of another size: what is spent is counted as if it were made whole. */
  inParts(longest: number, like: WorkingImage): WorkingImage {
    return (
      this.#sized.get(longest) ??
      once(this.#inParts, longest, () => this.#made(longest, (frame) => pictureInParts(frame, longest, like)))
    )
  }

  #made(longest: number, make: (frame: Frame) => WorkingImage): WorkingImage {
    const { frame, factor } = this.#source(longest)
    const image = make(frame)
    this.#spend(constants.budget.megapixel, image)
    return factor === 1 ? image : { ...image, scale: image.scale / factor }
  }

  /** What a picture of a size is made of: of a large frame one with fewer pixels, which serves all passes. */
  #source(longest: number): { readonly frame: Frame; readonly factor: number } {
    const { frameMegapixel } = constants.budget
    const side = Math.max(this.frame.width, this.frame.height)
    const factor = Math.floor(side / Math.max(...constants.passes.longest))
    if (factor > 1 && longest <= Math.floor(side / factor)) {
      if (this.#reduced === undefined) {
        this.#reduced = reducedFrame(this.frame, factor)
        this.#spend(frameMegapixel, this.frame)
      }
      this.#spend(frameMegapixel, this.#reduced)
      return { frame: this.#reduced, factor }
    }
    this.#spend(frameMegapixel, this.frame)
    return { frame: this.frame, factor: 1 }
  }

  /** A picture filtered, made where it is looked at. */
  filtered(image: WorkingImage): WorkingImage {
    return once(this.#filtered, image, () => medianFilter(image))
  }

  /** A picture filtered, all of it. */
  filteredWhole(image: WorkingImage): WorkingImage {
    const median = this.filtered(image)
    if (!this.#whole.has(median)) {
      this.#whole.add(median)
      median.need?.(0, 0, median.width, median.height)
      this.#budget.picture(costOf(constants.budget.filtered, median))
    }
    return median
  }

  parts(image: WorkingImage): EvenParts {
    return once(this.#parts, image, () => {
      this.#budget.picture(costOf(constants.budget.parts, image))
      return evenParts(image)
    })
  }

  candidates(image: WorkingImage): readonly PatchCandidate[] {
    return once(this.#candidates, image, () => patchCandidates(this.parts(image)))
  }

  blobs(image: WorkingImage): Blobs {
    return once(this.#blobs, image, () => blobsOf(this.parts(image), image))
  }

  /** A picture is made for what is looked for in it, but for those of the passes. */
  #spend(cost: number, size: Size): void {
    this.#budget.left -= costOf(cost, size)
  }
}

type Size = Pick<WorkingImage, 'width' | 'height'>

const costOf = (megapixel: number, { width, height }: Size) => 1e-6 * megapixel * width * height

function once<Key, Value>(known: Map<Key, Value>, key: Key, make: () => Value): Value {
  const there = known.get(key)
  if (there !== undefined) return there
  const made = make()
  known.set(key, made)
  return made
}
