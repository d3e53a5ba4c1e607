import {
  builtinChart,
  type MatchModel,
  matchCamera,
  modelKinds,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { patchLight, sensorNames } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { judgeTask, judgingProblem, mean, onMaterials } from '../../../test/support/judgeTask.ts'
import {
  type Aim,
  judgingChart,
  judgingLights,
  judgingTask,
  judgingWorking,
} from '../../../test/support/judgingSet.ts'
import { fitKind } from '../src/fit/fitKind.ts'
import { perceptualResiduals } from '../src/fit/perceptualResiduals.ts'
import { informedFit } from '../src/prior/informedFit.ts'
import type { MatchProblem } from '../src/problem/matchProblem.ts'
import { chooseKind } from '../src/select/chooseKind.ts'
import { exactTarget } from './support/exactTarget.ts'
import { readingsOf } from './support/readingsOf.ts'

const names = judgingChart.patches.map((patch) => patch.name)

function matched(source: readonly Vec3[], target: readonly Vec3[], model: 'auto' | 'lift-gain-matrix') {
  return matchCamera(
    {
      chart: judgingChart,
      readings: readingsOf(names, source),
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, target),
      working: judgingWorking,
    },
    { model, evenness: 'off' },
  )
}

// A part of test/gallery/judgeAuto.ts: measured sensors that the prior has not seen (Jiang et al. 2013), lights of CIE 15,
// and the real materials of CIE 224:2017 to judge on.
describe('auto on real materials that are not on the chart', () => {
  const judged = judgingLights.flatMap((light, l) =>
    [0, 1, 2, 3, 4, 5, 6].map((n) => {
      const from = sensorNames[(l + n) % 8]!
      const to: Aim = n === 5 ? 'observer' : n === 6 ? 'published' : sensorNames[(l + 3 * n + 3) % 8]!
      return judgeTask(
        judgingTask(
          from,
          to === from ? sensorNames[(l + 5) % 8]! : to,
          light,
          (l + n) % 2 === 0 ? 0 : 0.005,
          7 * l + n,
        ),
      )
    }),
  )
  const ratio = (of: typeof judged) =>
    mean(of.map(({ autoLeaves }) => autoLeaves)) / mean(of.map(({ matrixLeaves }) => matrixLeaves))

  it('leaves at most 0.80 of what the matrix leaves, of 56 tasks, and is in none more than 2 % worse', () => {
    expect(judged).toHaveLength(56)
    expect(ratio(judged)).toBeLessThan(0.8)
    for (const { task, autoLeaves, matrixLeaves } of judged)
      expect(autoLeaves / matrixLeaves, task.name).toBeLessThan(1.02)
  })

  it('leaves at most 0.75 of it towards the published values', () => {
    expect(ratio(judged.filter(({ task }) => task.to === 'published'))).toBeLessThan(0.75)
  })

  it('is told what it leaves: right in the mean, and one in twenty materials beyond the 95 %', () => {
    for (const model of ['matrix', 'auto'] as const) {
      const stated = judged.map((one) => (model === 'auto' ? one.autoExpected : one.matrixExpected))
      const left = judged.map((one) => onMaterials(one[model].fit.model, one.task))
      const truth = mean(left.map(mean)) / mean(stated.map((figure) => figure.mean))
      expect(truth, model).toBeGreaterThan(0.95)
      expect(truth, model).toBeLessThan(1.05)
      const beyond = mean(left.flatMap((list, i) => list.map((value) => (value > stated[i]!.p95 ? 1 : 0))))
      expect(beyond, model).toBeGreaterThan(0.03)
      expect(beyond, model).toBeLessThan(0.07)
    }
  })

  it('never goes below the matrix', () => {
    for (const { auto } of judged)
      expect(modelKinds.indexOf(auto.fit.kind)).toBeGreaterThanOrEqual(modelKinds.indexOf('lift-gain-matrix'))
  })

  it('states leave-one-out as fits without the patch have it, what its reading told of others left out too', () => {
    const task = judgingTask('sensor2', 'sensor5', 'A', 0.005, 3)
    const problem = judgingProblem(task)
    const informed = (of: MatchProblem) =>
      informedFit('root-polynomial-3', of, fitKind('lift-gain-matrix', problem))!
    const unweighted = perceptualResiduals(problem, problem.design('root-polynomial-3'))
    const refitted = names.map((_, p) => {
      const without = problem.reweighted(problem.samples.weight.map((weight, q) => (q === p ? 0 : weight)))
      return unweighted.difference(informed(without).theta, p)
    })
    const stated = informed(problem)
      .leaveOneOut()
      .map((theta, p) => unweighted.difference(theta, p))
    expect(mean(stated) / mean(refitted)).toBeGreaterThan(0.9)
    expect(mean(stated) / mean(refitted)).toBeLessThan(1.1)
  })
})

describe('auto where light is not linear', () => {
  const curves: Readonly<Record<string, (x: number) => number>> = {
    'a gamma of 0.75': (x) => x ** 0.75,
    'a gamma of 1.3': (x) => x ** 1.3,
    'an s-curve': (x) => x * x * (3 - 2 * x),
    'a knee': (x) => (x < 0.4 ? x : 0.4 + 0.5 * (x - 0.4)),
    'narrow range taken as full': (x) => Math.max((219 * x ** 0.45 + 16) / 255, 0) ** (1 / 0.45),
    'crushed black': (x) => Math.max(x - 0.02, 0.0005),
  }

  it.each(Object.keys(curves))(
    'predicts patches that it was fitted without no more than a fiftieth worse than the matrix: %s',
    (name) => {
      const curve = curves[name]!
      const first = Object.keys(curves).indexOf(name)
      for (const [i, to] of (['published', sensorNames[(first + 3) % 8]!] as const).entries()) {
        const task = judgingTask(sensorNames[first]!, to, judgingLights[(first + i) % 8]!, 0.002, first)
        const bent = task.chart.source.map(([r, g, b]): Vec3 => [curve(r), curve(g), curve(b)])
        const problem = judgingProblem({ ...task, chart: { ...task.chart, source: bent } })
        // Everything anew without each patch: outliers, the choice of the model, how far the readings are believed.
        const predicted = (kind: 'auto' | 'lift-gain-matrix') =>
          mean(
            names.map((_, p) => {
              const weight = problem.samples.weight.map((own, q) => (q === p ? 0 : own))
              const { fit } = chooseKind(kind, problem.reweighted(weight), true)
              return perceptualResiduals(problem, fit.design).difference(fit.theta, p)
            }),
          )
        expect(predicted('auto') / predicted('lift-gain-matrix'), task.name).toBeLessThan(1.02)
      }
    },
  )
})

describe('auto', () => {
  const { chart } = judgingTask('sensor1', 'observer', 'D65', 0, 1)

  it('does not depend on the exposure of either side', () => {
    const scaled = (list: readonly Vec3[], by: number) =>
      list.map(([r, g, b]): Vec3 => [by * r, by * g, by * b])
    const terms = (model: MatchModel) => [...model.matrix.flat(), ...model.rootPolynomial!.flat()]
    const one = matched(chart.source, chart.target, 'auto').model
    const dark = matched(scaled(chart.source, 1 / 8), chart.target, 'auto').model
    for (const [i, term] of terms(dark).entries()) expect(term).toBeCloseTo(terms(one)[i]!, 4)
    expect(dark.gain[1] / one.gain[1]).toBeCloseTo(8, 4)
  })

  it('takes light that black is lifted by out, and does not invent any', () => {
    const lifted = chart.source.map(([r, g, b]): Vec3 => [r + 0.01, g + 0.008, b + 0.012])
    const clean = matched(chart.source, chart.target, 'auto').model.lift
    const found = matched(lifted, chart.target, 'auto').model.lift
    for (const [c, by] of [0.01, 0.008, 0.012].entries()) {
      expect(Math.abs(clean[c]!)).toBeLessThan(0.0005)
      expect(found[c]! - clean[c]!).toBeCloseTo(-by, 3)
    }
  })

  it('falls back to the patches alone on a chart whose spectra are not known', () => {
    const other = builtinChart('quay48')
    const light = (device: 'sensor1' | 'sensor4') =>
      patchLight({ chart: other, device, light: 'A' }).map((patch) => patch.light)
    const others = other.patches.map((patch) => patch.name)
    const match = matchCamera(
      {
        chart: other,
        readings: readingsOf(others, light('sensor1')),
        encoding: resolveEncoding('linear'),
        target: exactTarget(others, light('sensor4')),
        working: judgingWorking,
      },
      { model: 'auto' },
    )
    expect(['lift-gain-matrix', 'root-polynomial-2']).toContain(match.model.kind)
  })
})
