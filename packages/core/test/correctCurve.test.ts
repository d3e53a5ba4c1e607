import { describe, expect, it } from 'vitest'
import { curveChart, curveTask, curveWorking } from '../../../test/support/curveTasks.ts'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { applyModel, decodeRgb, deltaE00, labOfLinear, matchCamera, resolveEncoding } from '../src/index.ts'

// Measured sensors (Jiang and others 2013) through curves of our own making: test/support/curveTasks.ts. What is
// right is known, since the light that was recorded is.
const lab = labOfLinear(curveWorking)
const chart = curveChart
const working = curveWorking
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length

function unseen(task: ReturnType<typeof curveTask>, curve: 'declared' | 'corrected' | 'measured'): number {
  const { readings, declared: encoding, target } = task
  const match = matchCamera({ chart, readings, encoding, target, working }, { curve, evenness: 'divide' })
  const used = match.curve === undefined ? encoding : resolveEncoding(match.curve.encoding)
  return mean(
    task.unseen.map(({ code, aim }) =>
      deltaE00(lab(applyModel(match.model, decodeRgb(used, code))), lab(aim)),
    ),
  )
}

describe('a corrected curve', () => {
  it.each(['picture', 'gamma', 'log', 'standard'] as const)(
    'brings materials that are not on the chart nearer where the declared one is wrong: %s',
    (family) => {
      const tasks = Array.from({ length: wholeTask ? 8 : 4 }, (_, i) => curveTask(family, 300 + i))
      const ratios = tasks.map((task) => unseen(task, 'corrected') / unseen(task, 'declared'))
      expect(mean(ratios)).toBeLessThan(0.8)
    },
  )

  it('stays itself where the declared one is right', () => {
    const tasks = Array.from({ length: wholeTask ? 12 : 6 }, (_, i) => curveTask('right', 300 + i))
    const ratios = tasks.map((task) => unseen(task, 'corrected') / unseen(task, 'declared'))
    expect(mean(ratios)).toBeLessThan(1.05)
    expect(Math.max(...ratios)).toBeLessThan(1.3)
  })

  it('states its terms with intervals, and the table that a LUT decodes with', () => {
    const { readings, declared: encoding, target } = curveTask('picture', 301)
    const match = matchCamera({ chart, readings, encoding, target, working }, { curve: 'corrected' })
    const { curve } = match
    expect(curve?.kind).toBe('corrected')
    expect(curve?.common).toHaveLength(4)
    for (const term of [...curve!.common, ...curve!.channels.flat()]) {
      expect(term.low).toBeLessThan(term.value)
      expect(term.high).toBeGreaterThan(term.value)
    }
    const used = resolveEncoding(curve!.encoding)
    const factor = (patch: string) =>
      2 ** -match.diagnosis.evenness!.field[chart.patches.findIndex((p) => p.name === patch)]!
    for (const { patch, matched } of match.patches) {
      const code = readings.patches.find((one) => one.patch === patch)!.rgb
      const light = decodeRgb(used, code)
      const even = [light[0] * factor(patch), light[1] * factor(patch), light[2] * factor(patch)] as const
      expect(deltaE00(lab(applyModel(match.model, even)), lab(matched))).toBeLessThan(0.01)
    }
  })
})
