import { seededRandom } from '@isochip/core'

/** Draws from a seed, the same on every machine. */
export class Draw {
  readonly #random: () => number

  constructor(seed: number) {
    this.#random = seededRandom(seed)
  }

  /** A whole number from 0 to below `end`. */
  below(end: number): number {
    return Math.floor(this.#random() * end)
  }

  chance(share: number): boolean {
    return this.#random() < share
  }

  of<T>(list: readonly T[]): T {
    return list[this.below(list.length)]!
  }
}
