import { lutTriples } from '../../interpolate/lutTransform.ts'
import type { LatticeLut, Lut } from '../../lut/lut.ts'

/** What becomes of a lattice in a box that stores its nodes as whole numbers from 0 to 1. */
export interface IntegerNodes {
  /** Largest change of a channel, in codes of 10 bits, both sides cut to 0…1. */
  readonly worst: number
  /** Share of the inputs at which a channel changes by more than four codes of 10 bits. */
  readonly share: number
}

/** A change that is seen on a waveform, in codes of 10 bits. */
const seen = 4
const codes = 2 ** 10 - 1

const clip = (x: number) => Math.min(Math.max(x, 0), 1)

/** Compares a LUT with the same LUT with its nodes cut to 0…1, tetrahedral. A 1D LUT loses nothing by it. */
export function integerNodes(lut: Lut, inputs: Float64Array): IntegerNodes {
  const lattice = lut.kind === 'shaped' ? lut.lattice : lut
  const none = { worst: 0, share: 0 }
  if (lattice.kind === 'curve' || !lattice.tableRedFastest.some((x) => x < 0 || x > 1)) return none
  const stored: LatticeLut = { ...lattice, tableRedFastest: lattice.tableRedFastest.map(clip) }
  const [kept, cut] = [inputs.slice(), inputs.slice()]
  lutTriples(lut, 'tetrahedral')(kept)
  lutTriples(lut.kind === 'shaped' ? { ...lut, lattice: stored } : stored, 'tetrahedral')(cut)
  let worst = 0
  let changed = 0
  for (let i = 0; i < kept.length; i += 3) {
    let apart = 0
    for (let c = 0; c < 3; c++) apart = Math.max(apart, codes * Math.abs(clip(kept[i + c]!) - cut[i + c]!))
    worst = Math.max(worst, apart)
    if (apart > seen) changed++
  }
  return { worst, share: (3 * changed) / kept.length }
}
