import {
  applyModel,
  decodeRgb,
  deltaE00,
  isIsochipError,
  labOfLinear,
  primariesConversion,
  type Readings,
} from '@isochip/core'
import { viewing } from '../../packages/core/src/colour/viewing.ts'
import { type MatchProblem, matchProblem } from '../../packages/core/src/problem/matchProblem.ts'
import { prepareSamples } from '../../packages/core/src/samples/prepareSamples.ts'
import { chooseKind } from '../../packages/core/src/select/chooseKind.ts'
import { type CurveFamily, type CurveTask, curveChart, curveTask, curveWorking } from './curveTasks.ts'
import { mean } from './judgeTask.ts'

const lab = labOfLinear(curveWorking)
const view = viewing(curveWorking, 'scene')

/** What is to be solved; `without` is a patch that takes no part. */
function curveProblem({ declared, target }: CurveTask, readings: Readings, without?: string): MatchProblem {
  const weights = without === undefined ? {} : { weights: { patches: { [without]: 0 } } }
  const { samples } = prepareSamples(curveChart, readings, declared, target, weights)
  return matchProblem(samples, {
    declared: primariesConversion(declared.primaries, curveWorking),
    viewing: view,
    objective: 'perceptual',
  })
}

/** The readings with what a recording in full range cuts at black told as clipped, as reading a frame tells it. */
export const cutAtBlack = ({ readings }: CurveTask): Readings => ({
  patches: readings.patches.map((one) => (Math.min(...one.rgb) <= 0 ? { ...one, clipped: 1 } : one)),
})

const asRead = ({ readings }: CurveTask): Readings => readings

/**
 * What `auto` leaves of real materials that are not on the chart over what the matrix leaves, task by task; refused ones are
 * left out.
 */
export function autoOnCurves(family: CurveFamily, count: number, from: number, read = asRead): number[] {
  return each(family, count, from, (task) => {
    const problem = curveProblem(task, read(task))
    const left = (kind: 'auto' | 'lift-gain-matrix') => {
      const { model } = chooseKind(kind, problem, true).fit
      return mean(
        task.unseen.map(({ code, aim }) =>
          deltaE00(lab(applyModel(model, decodeRgb(task.declared, code))), lab(aim)),
        ),
      )
    }
    return left('auto') / left('lift-gain-matrix')
  })
}

/** The same of patches of the chart, each by a match without it, everything fitted and chosen anew. */
export function autoLeftOut(family: CurveFamily, count: number, from: number): number[] {
  return each(family, count, from, (task) => {
    const { readings, declared, target } = task
    const used = readings.patches.filter(({ clipped = 0 }) => clipped === 0)
    const left = (kind: 'auto' | 'lift-gain-matrix') =>
      mean(
        used.map(({ patch, rgb }) => {
          const { model } = chooseKind(kind, curveProblem(task, readings, patch), true).fit
          return deltaE00(lab(applyModel(model, decodeRgb(declared, rgb))), lab(target.light.get(patch)!))
        }),
      )
    return left('auto') / left('lift-gain-matrix')
  })
}

function each(
  family: CurveFamily,
  count: number,
  from: number,
  ratio: (task: CurveTask) => number,
): number[] {
  return Array.from({ length: count }, (_, i) => curveTask(family, from + i)).flatMap((task) => {
    try {
      return [ratio(task)]
    } catch (error) {
      // Patches that carry no matrix under this curve.
      if (isIsochipError(error)) return []
      throw error
    }
  })
}
