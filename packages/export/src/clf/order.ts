import type { LatticeLut, LutTable } from '../lut/lut.ts'
import type { Lut3dNode } from './processList.ts'

/** Red-fastest ↔ blue-fastest: node (i, j, k) goes to the place of (k, j, i). The same both ways. */
export function swapRedAndBlueOrder(table: LutTable, size: number): LutTable {
  const out = table.slice()
  for (let k = 0; k < size; k++) {
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < size; i++) {
        const from = 3 * (i + size * (j + size * k))
        const to = 3 * (k + size * (j + size * i))
        out[to] = table[from]!
        out[to + 1] = table[from + 1]!
        out[to + 2] = table[from + 2]!
      }
    }
  }
  return out
}

/** The lattice of a LUT3D node, on the domain 0…1 (an index map is not looked at). */
export function latticeOfNode({ size, tableBlueFastest }: Lut3dNode): LatticeLut {
  return {
    kind: 'lattice',
    size,
    domainMin: [0, 0, 0],
    domainMax: [1, 1, 1],
    tableRedFastest: swapRedAndBlueOrder(tableBlueFastest, size),
  }
}
