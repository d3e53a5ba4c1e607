import { deltaE00 } from '../colour/deltaE00.ts'
import { viewLab } from '../colour/viewing.ts'
import { identity3 } from '../linear/mat3.ts'
import type { MatchModel } from '../model/model.ts'
import type { ModelKind } from '../model/modelKind.ts'
import { modelMap } from '../model/modelMap.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { expectedDifference as shape } from '../shape/match.ts'
import type { Shape } from '../shape/shape.ts'

/** ΔE00 to be expected on materials that are not on the chart. */
export interface ExpectedDifference extends Shape<typeof shape> {}

/** Below this belief in the spectra leave-one-out is the better witness. */
const believed = 0.5

/**
 * Real materials against draws of reflectances, and against leave-one-out. A match that was fitted to virtual patches has
 * taken up some of what the draws would find; one without a matrix is off by what any draw shows. Measured with the eight
 * sensors and the 99 samples of CIE 224:2017 on every seventh task, and judged on the others (`test/gallery/judgeAuto.ts`).
 */
const calibration = {
  levels: { mean: 1.04, p95: 1.06 },
  matrix: { mean: 1.45, p95: 1.58 },
  root: { mean: 1.25, p95: 1.35 },
  informed: { mean: 1.17, p95: 1.29 },
  leftOut: { mean: 1.08, p95: 2.4 },
} as const

function calibrationOf(
  kind: ModelKind,
  informed: number | undefined,
): { readonly mean: number; readonly p95: number } {
  if (informed !== undefined) {
    const { informed: all, matrix } = calibration
    return {
      mean: informed * all.mean + (1 - informed) * matrix.mean,
      p95: informed * all.p95 + (1 - informed) * matrix.p95,
    }
  }
  if (kind === 'gain' || kind === 'lift-gain') return calibration.levels
  return kind === 'matrix' || kind === 'lift-gain-matrix' ? calibration.matrix : calibration.root
}

/**
 * @param informed the share of the model that was fitted to virtual patches (`informedFit`), the rest being a matrix
 * @param leaveOneOut mean ΔE00 of the patches left out, where there is one.
 */
export function expectedDifference(
  model: MatchModel,
  problem: MatchProblem,
  informed: number | undefined,
  leaveOneOut: number | undefined,
): ExpectedDifference | undefined {
  const differences =
    (problem.evidence()?.belief ?? 0) < believed ? undefined : differencesOnOthers(model, problem)
  if (differences === undefined) {
    if (leaveOneOut === undefined) return undefined
    const mean = calibration.leftOut.mean * leaveOneOut
    return { mean, p95: calibration.leftOut.p95 * mean, basis: 'left-out' }
  }
  differences.sort()
  const { mean, p95 } = calibrationOf(model.kind, informed)
  return {
    mean: (mean * differences.reduce((sum, value) => sum + value, 0)) / differences.length,
    p95: p95 * differences[Math.floor(0.95 * (differences.length - 1))]!,
    basis: 'spectra',
  }
}

/** ΔE00 that a match is told to leave of the materials that were drawn; `undefined` where the chart does not tell. */
export function differencesOnOthers(model: MatchModel, problem: MatchProblem): Float64Array | undefined {
  const others = problem.drawn()
  if (others === undefined) return undefined
  const { viewing } = problem
  const { count, source, targetLab } = others
  const map = modelMap(model, identity3)
  const light = new Float64Array(3)
  const lab = new Float64Array(3)
  const differences = new Float64Array(count)
  for (let v = 0; v < count; v++) {
    const at = 3 * v
    map(source[at]!, source[at + 1]!, source[at + 2]!, light)
    viewLab(viewing, light[0]!, light[1]!, light[2]!, lab)
    differences[v] = deltaE00(
      [lab[0]!, lab[1]!, lab[2]!],
      [targetLab[at]!, targetLab[at + 1]!, targetLab[at + 2]!],
    )
  }
  return differences
}
