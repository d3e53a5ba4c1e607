import { constants } from './constants.ts'

/** What may still be spent on a frame; see `constants.budget`. Work is counted, not time: an answer does not depend on the machine. */
export class Budget {
  /** For charts in grids. */
  left = constants.budget.total
  growing = constants.budget.growing
  /** For charts of regions. */
  regions = constants.regions.budget.total
  /** For all of it, the pictures included. */
  #whole: number
  /** There was more than is looked at. */
  full = false
  #pictures = 0

  /** @param whole what may be spent in all; default that of a frame */
  constructor(whole: number = constants.budget.whole) {
    this.#whole = whole
  }

  /** What is left of all. */
  get whole(): number {
    const { total, growing } = constants.budget
    const grids = total - this.left + growing - this.growing
    return this.#whole - grids - (constants.regions.budget.total - this.regions) - this.#pictures
  }

  /** Nothing more is looked for in grids. */
  get gridsEnded(): boolean {
    return this.left <= 0 || this.growing <= 0 || this.whole <= 0
  }

  get regionsEnded(): boolean {
    return this.regions <= 0 || this.whole <= 0
  }

  /** The pictures have to be: what they cost is taken from the whole alone. */
  picture(cost: number): void {
    this.#pictures += cost
  }
}
