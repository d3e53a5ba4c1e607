import { apply3, multiply3, primariesConversion, type Vec3, type Warning } from '@isochip/core'
import { bakeMatch } from '../bake/bakeMatch.ts'
import { type EncodedMatch, matchTransform } from '../bake/matchTransform.ts'
import { samplePoints } from '../bake/samplePoints.ts'
import { decodeNodes, encodeNodes } from './curveNodes.ts'
import { processListTransform } from './evaluate.ts'
import { swapRedAndBlueOrder } from './order.ts'
import type { MatrixNode, ProcessList, ProcessNode } from './processList.ts'

export interface ClfMatchOptions {
  readonly id: string
  readonly name?: string
  readonly descriptions?: readonly string[]
  /** Nodes along each axis of the LUT3D that a root-polynomial match needs; default 33. */
  readonly size?: number
}

export interface ClfMatch {
  readonly list: ProcessList
  /**
   * Largest difference from the match itself in code fractions, over a dense sample of the code range. 1e-12 or less
   * where every curve is a formula of the format; more where one is sampled, or a standard prints rounded constants.
   */
  readonly deviation: number
  readonly warnings: readonly Warning[]
}

/** Above this the file is not the match to the precision of a 16-bit code. */
const quarterOf16Bit = 0.25 / 65535

/**
 * A match as its own steps instead of a sampled cube: range and curve of the camera, one 3×3 or 3×4 matrix, curve and
 * range of the output. Curves that are no formula of the format (PQ, HLG, ACEScc, tables) become a LUT1D of 65536
 * entries; a root-polynomial match becomes one LUT3D over the code values.
 */
export function clfFromMatch(match: EncodedMatch, options: ClfMatchOptions): ClfMatch {
  const { source, output, model, bits = 10 } = match
  const { id, name, descriptions, size = 33 } = options
  const nodes: ProcessNode[] =
    model.rootPolynomial === undefined
      ? [...decodeNodes(source, bits), matrixNode(match), ...encodeNodes(output, bits)]
      : [
          {
            type: 'LUT3D',
            size,
            interpolation: 'tetrahedral',
            tableBlueFastest: swapRedAndBlueOrder(bakeMatch(match, { size }).tableRedFastest, size),
          },
        ]
  const list: ProcessList = {
    id,
    ...(name === undefined ? {} : { name }),
    ...(descriptions === undefined ? {} : { descriptions }),
    nodes,
  }
  const deviation = largestDeviation(processListTransform(list), matchTransform(match))
  const warnings: Warning[] = []
  if (deviation > quarterOf16Bit) {
    warnings.push({
      code: 'clf-deviation',
      message: `the file and the match differ by up to ${deviation.toPrecision(2)} of the code range (${(deviation * 1023).toPrecision(2)} 10-bit codes)`,
    })
  }
  return { list, deviation, warnings }
}

/** Lift, gain, matrix and the conversion to the output's primaries, as one. */
function matrixNode({ model, working, output }: EncodedMatch): MatrixNode {
  const toOutput = multiply3(primariesConversion(working, output.primaries), model.matrix)
  const scaled = (row: Vec3): Vec3 => [row[0] * model.gain[0], row[1] * model.gain[1], row[2] * model.gain[2]]
  const matrix = [scaled(toOutput[0]), scaled(toOutput[1]), scaled(toOutput[2])] as const
  return { type: 'Matrix', matrix, offset: apply3(matrix, model.lift) }
}

function largestDeviation(a: (x: Vec3) => Vec3, b: (x: Vec3) => Vec3): number {
  let largest = 0
  for (const point of samplePoints(4096)) {
    const [x, y] = [a(point), b(point)]
    for (const c of [0, 1, 2] as const) largest = Math.max(largest, Math.abs(x[c] - y[c]))
  }
  return largest
}
