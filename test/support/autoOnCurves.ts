import {
  applyModel,
  decodeRgb,
  deltaE00,
  isIsochipError,
  labOfLinear,
  primariesConversion,
} from '@isochip/core'
import { viewing } from '../../packages/core/src/colour/viewing.ts'
import { matchProblem } from '../../packages/core/src/problem/matchProblem.ts'
import { prepareSamples } from '../../packages/core/src/samples/prepareSamples.ts'
import { chooseKind } from '../../packages/core/src/select/chooseKind.ts'
import { type CurveFamily, curveChart, curveTask, curveWorking } from './curveTasks.ts'
import { mean } from './judgeTask.ts'

const lab = labOfLinear(curveWorking)
const view = viewing(curveWorking, 'scene')

/** What `auto` leaves of real materials that are not on the chart over what the matrix leaves, task by task; refused ones are left out. */
export function autoOnCurves(family: CurveFamily, count: number, from: number): number[] {
  return Array.from({ length: count }, (_, i) => curveTask(family, from + i)).flatMap((task) => {
    const { declared, readings, target, unseen } = task
    const { samples } = prepareSamples(curveChart, readings, declared, target, {})
    const problem = matchProblem(samples, {
      declared: primariesConversion(declared.primaries, curveWorking),
      viewing: view,
      objective: 'perceptual',
    })
    const left = (kind: 'auto' | 'lift-gain-matrix') => {
      const { model } = chooseKind(kind, problem, true).fit
      return mean(
        unseen.map(({ code, aim }) => deltaE00(lab(applyModel(model, decodeRgb(declared, code))), lab(aim))),
      )
    }
    try {
      return [left('auto') / left('lift-gain-matrix')]
    } catch (error) {
      // Patches that carry no matrix under this curve.
      if (isIsochipError(error)) return []
      throw error
    }
  })
}
