import type { LatticeLut } from '@isochip/export'
import { levelsOf } from '../form/levelsOf.ts'
import type { Planes } from '../form/planes.ts'
import type { SignalForm } from '../form/signalForm.ts'
import { throughLattice } from './throughLattice.ts'

/** Pixels across that are worked out: of 1920 every fourth, of every fourth line. */
const columns = 480

interface Levels {
  readonly width: number
  readonly height: number
  /** Interleaved nominal R′G′B′. */
  readonly levels: Float32Array
}

/** A frame thinned out, and through the LUT: worked out once for scopes and picture, and where one of them wants it. */
export class ShownLevels {
  readonly planes: Planes
  readonly form: SignalForm
  readonly lattice: LatticeLut | undefined
  /** Every so many pixels and lines. */
  readonly step: number
  #own: Levels | undefined
  #matched: Levels | undefined

  constructor(planes: Planes, form: SignalForm, lattice: LatticeLut | undefined) {
    this.planes = planes
    this.form = form
    this.lattice = lattice
    this.step = Math.max(1, Math.round(planes.width / columns))
  }

  own(): Levels {
    this.#own ??= levelsOf(this.planes, this.form, this.step)
    return this.#own
  }

  /** Without a LUT the frame as it comes. */
  matched(): Levels {
    const own = this.own()
    if (this.lattice === undefined) return own
    this.#matched ??= { ...own, levels: throughLattice(own.levels, this.lattice) }
    return this.#matched
  }
}
