import type { Planes } from './form/planes.ts'

/** The mean of frames of one size, kept as they came: what a single frame would round or clip, the mean does not. */
export class FrameMean {
  #first: Planes | undefined
  #sums: readonly Float32Array[] = []
  count = 0

  /** Takes a frame; of another size or kind than those before, it begins anew. */
  add(planes: Planes): void {
    const first = this.#first
    const same =
      first !== undefined &&
      first.kind === planes.kind &&
      first.width === planes.width &&
      first.height === planes.height &&
      first.bits === planes.bits &&
      first.across === planes.across
    if (!same) {
      this.#first = planes
      this.#sums = planes.samples.map((plane) => new Float32Array(plane.length))
      this.count = 0
    }
    for (const [i, sum] of this.#sums.entries()) {
      const plane = planes.samples[i]!
      for (let at = 0; at < sum.length; at++) sum[at]! += plane[at]!
    }
    this.count++
  }

  /** Undefined before the first frame. What was added is forgotten. */
  take(): Planes | undefined {
    const first = this.#first
    if (first === undefined) return undefined
    const [a, b, c] = this.#sums.map((sum) => {
      for (let at = 0; at < sum.length; at++) sum[at]! /= this.count
      return sum
    }) as [Float32Array, Float32Array, Float32Array]
    this.#first = undefined
    this.#sums = []
    return { ...first, samples: [a, b, c] }
  }
}
