import {
  applyModel,
  deltaE00,
  identity3,
  labOfLinear,
  type MatchModel,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { sensorNames } from '@isochip/synthetic'
import { pooledSensors } from '../../packages/core/scripts/pooledSensors.ts'
import { viewing } from '../../packages/core/src/colour/viewing.ts'
import {
  type ExpectedDifference,
  expectedDifference,
} from '../../packages/core/src/prior/expectedDifference.ts'
import { priorOf, type SensorPrior } from '../../packages/core/src/prior/sensorPrior.ts'
import { type MatchProblem, matchProblem } from '../../packages/core/src/problem/matchProblem.ts'
import { prepareSamples } from '../../packages/core/src/samples/prepareSamples.ts'
import type { Choice } from '../../packages/core/src/select/choice.ts'
import { chooseKind } from '../../packages/core/src/select/chooseKind.ts'
import { type JudgingTask, judgingChart, judgingLights, judgingWorking } from './judgingSet.ts'

const linear = resolveEncoding('linear')
const lab = labOfLinear(judgingWorking)
const view = viewing(judgingWorking, 'scene')
const names = judgingChart.patches.map((patch) => patch.name)
const priors = new Map<string, SensorPrior>()

/** The prior without the sensors of a task: what it says of them it has not seen. */
function priorWithout({ from, to }: JudgingTask): SensorPrior {
  const held = sensorNames.filter((name) => name !== from && name !== to)
  const key = held.join()
  const known = priors.get(key) ?? priorOf(pooledSensors(held, judgingLights))
  priors.set(key, known)
  return known
}

/** What is to be solved for a task, under a prior that has not seen its sensors. */
export function judgingProblem(task: JudgingTask): MatchProblem {
  const { chart } = task
  const target = new Map(chart.target.map((aim, p) => [names[p]!, aim] as const))
  const { samples } = prepareSamples(
    judgingChart,
    { patches: chart.source.map((rgb, p) => ({ patch: names[p]!, rgb })) },
    linear,
    { light: target, standardError: new Map(), excluded: new Map(), warnings: [] },
    {},
  )
  return matchProblem(samples, {
    declared: identity3,
    viewing: view,
    objective: 'perceptual',
    sensors: priorWithout(task),
  })
}

/** ΔE00 of every material of the task under a match. */
export function onMaterials(model: MatchModel, { unseen }: JudgingTask): number[] {
  return unseen.source.map((light: Vec3, i) =>
    deltaE00(lab(applyModel(model, light)), lab(unseen.target[i]!)),
  )
}

/** `auto` and the plain matrix on one task, with a prior that has not seen its sensors. */
export interface Judged {
  readonly task: JudgingTask
  readonly matrix: Choice
  readonly auto: Choice
  /** Mean ΔE00 on the materials. */
  readonly matrixLeaves: number
  readonly autoLeaves: number
  /** What each is expected to leave on other materials. */
  readonly matrixExpected: ExpectedDifference
  readonly autoExpected: ExpectedDifference
}

export function judgeTask(task: JudgingTask): Judged {
  const problem = judgingProblem(task)
  const matrix = chooseKind('lift-gain-matrix', problem, true)
  const auto = chooseKind('auto', problem, true)
  const expected = ({ fit, informed }: Choice) => expectedDifference(fit.model, problem, informed, undefined)!
  return {
    task,
    matrixExpected: expected(matrix),
    autoExpected: expected(auto),
    matrix,
    auto,
    matrixLeaves: mean(onMaterials(matrix.fit.model, task)),
    autoLeaves: mean(onMaterials(auto.fit.model, task)),
  }
}

export const mean = (values: readonly number[]) =>
  values.reduce((sum, value) => sum + value, 0) / values.length
