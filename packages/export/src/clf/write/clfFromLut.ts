import type { Interpolation } from '../../interpolate/lutTransform.ts'
import { type CurveLut, checkLut, type LatticeLut, type Lut } from '../../lut/lut.ts'
import { swapRedAndBlueOrder } from '../order.ts'
import type { Lut1dNode, Lut3dNode, MatrixNode, ProcessList, ProcessNode } from '../processList.ts'

/**
 * A LUT as a process list. A domain other than 0…1 becomes a Matrix before the LUT, which clamps its input itself.
 *
 * @throws IsochipError `lut-limits`
 */
export function clfFromLut(lut: Lut, id: string, interpolation: Interpolation = 'tetrahedral'): ProcessList {
  checkLut(lut)
  const nodes: ProcessNode[] = []
  if (lut.kind !== 'lattice') nodes.push(...curveNodes(lut.kind === 'shaped' ? lut.curve : lut))
  if (lut.kind !== 'curve') {
    nodes.push(...latticeNodes(lut.kind === 'shaped' ? lut.lattice : lut, interpolation))
  }
  return { id, ...(lut.title === undefined ? {} : { name: lut.title }), nodes }
}

function domainNodes({ domainMin: min, domainMax: max }: CurveLut | LatticeLut): MatrixNode[] {
  if ([0, 1, 2].every((c) => min[c] === 0 && max[c] === 1)) return []
  const scale = (c: 0 | 1 | 2) => 1 / (max[c] - min[c])
  return [
    {
      type: 'Matrix',
      matrix: [
        [scale(0), 0, 0],
        [0, scale(1), 0],
        [0, 0, scale(2)],
      ],
      offset: [-min[0] * scale(0), -min[1] * scale(1), -min[2] * scale(2)],
    },
  ]
}

function curveNodes(curve: CurveLut): ProcessNode[] {
  const node: Lut1dNode = { type: 'LUT1D', length: curve.size, columns: 3, table: curve.table }
  return [...domainNodes(curve), node]
}

function latticeNodes(lattice: LatticeLut, interpolation: Interpolation): ProcessNode[] {
  const { size, tableRedFastest } = lattice
  const node: Lut3dNode = {
    type: 'LUT3D',
    size,
    interpolation,
    tableBlueFastest: swapRedAndBlueOrder(tableRedFastest, size),
  }
  return [...domainNodes(lattice), node]
}
