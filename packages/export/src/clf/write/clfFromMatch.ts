import { apply3, given, multiply3, primariesConversion, type Vec3, type Warning } from '@isochip/core'
import { bakeNodes, type NodeOptions } from '../../bake/bakeNodes.ts'
import { type EncodedMatch, matchTransform } from '../../bake/matchTransform.ts'
import { samplePoints } from '../../bake/samplePoints.ts'
import { processListTransform } from '../evaluate.ts'
import { swapRedAndBlueOrder } from '../order.ts'
import type { MatrixNode, ProcessList, ProcessNode } from '../processList.ts'
import { type CurveForm, decodeNodes, encodeNodes } from './curveNodes.ts'

export interface ClfMatchOptions extends NodeOptions {
  readonly id: string
  readonly name?: string
  readonly descriptions?: readonly string[]
  /** Nodes along each axis of the LUT3D that a root-polynomial match needs; default 33. */
  readonly size?: number
  /**
   * `formula` (default) writes a curve as the format's own node where it has one. Its straight toe is the one that
   * meets the power piece smoothly; the constants that BT.709 and IEC 61966-2-1 print are rounded from that, which
   * makes up to 4e-4 of the code range right at the break of BT.709, 2e-5 for sRGB, next to nothing elsewhere.
   * `table` writes every curve as a LUT1D of 65536 entries instead: the printed curve, in a file of a megabyte.
   */
  readonly curves?: CurveForm
}

export interface ClfMatch {
  readonly list: ProcessList
  /**
   * Largest difference from the match itself in code fractions, both cut to 0…1, over 4096 points of the code range:
   * rounding alone where every curve is a formula of the format; more where one is sampled, or a standard prints
   * rounded constants.
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
  const { id, name, descriptions, size = 33, curves = 'formula' } = options
  const nodes: ProcessNode[] =
    model.kind === 'conversion' || model.rootPolynomial === undefined
      ? [...decodeNodes(source, bits, curves), matrixNode(match), ...encodeNodes(output, bits, curves)]
      : [
          {
            type: 'LUT3D',
            size,
            interpolation: 'tetrahedral',
            tableBlueFastest: swapRedAndBlueOrder(
              bakeNodes(match, { size, ...nodesOf(options) }).tableRedFastest,
              size,
            ),
          },
        ]
  const list: ProcessList = {
    id,
    ...given({ name, descriptions }),
    nodes,
  }
  return deviating(list, matchTransform(match))
}

/** What is said of nodes. */
export const nodesOf = ({ nodes, nodeBits }: NodeOptions): NodeOptions => given({ nodes, nodeBits })

/** A list beside how far it is off what it should be, with a caution where that is more than rounding. */
export function deviating(list: ProcessList, exact: (code: Vec3) => Vec3): ClfMatch {
  const deviation = largestDeviation(processListTransform(list), exact)
  if (deviation <= quarterOf16Bit) return { list, deviation, warnings: [] }
  return { list, deviation, warnings: [{ code: 'clf-deviation', message: deviationText(deviation) }] }
}

/** In codes of the usual depth, and whether that is anything to see. */
function deviationText(deviation: number): string {
  const codes = deviation * 1023
  const said = codes < 1 ? 'less than one code of 10 bits' : 'more than one code of 10 bits'
  return `the Common LUT Format file is off the match by up to ${codes.toPrecision(2)} 10-bit codes, ${said}`
}

/** Lift, gain, matrix and the conversion to the output's primaries, as one. */
function matrixNode({ model, working, output }: EncodedMatch): MatrixNode {
  const toOutput = multiply3(primariesConversion(working, output.primaries), model.matrix)
  if (model.kind === 'conversion') return { type: 'Matrix', matrix: toOutput, offset: [0, 0, 0] }
  const scaled = (row: Vec3): Vec3 => [row[0] * model.gain[0], row[1] * model.gain[1], row[2] * model.gain[2]]
  const matrix = [scaled(toOutput[0]), scaled(toOutput[1]), scaled(toOutput[2])] as const
  return { type: 'Matrix', matrix, offset: apply3(matrix, model.lift) }
}

const cut = (x: number) => Math.min(Math.max(x, 0), 1)

function largestDeviation(a: (x: Vec3) => Vec3, b: (x: Vec3) => Vec3): number {
  let largest = 0
  for (const point of samplePoints(4096)) {
    const [x, y] = [a(point), b(point)]
    for (const c of [0, 1, 2] as const) largest = Math.max(largest, Math.abs(cut(x[c]) - cut(y[c])))
  }
  return largest
}
