/**
 * `auto` against `lift-gain-matrix` on real materials that are not on the chart, with sensors that its prior has not seen.
 * From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/judgeAuto.ts [every so manieth task, default 1]`
 */
import { sensorNames } from '@isochip/synthetic'
import { type Judged, judgeTask, mean, onMaterials } from '../support/judgeTask.ts'
import { allPairs, judgingLights, judgingTask } from '../support/judgingSet.ts'

const every = Number(process.argv[2] ?? 1)
const judged: (Judged & { readonly seventh: boolean })[] = []
let number = 0
for (const light of judgingLights) {
  for (const { from, to } of allPairs()) {
    for (const noise of [0, 0.005]) {
      const seventh = number % 7 === 0
      if (number++ % every === 0)
        judged.push({ ...judgeTask(judgingTask(from, to, light, noise, number)), seventh })
    }
  }
}

const groups: readonly [string, (of: Judged) => boolean][] = [
  ['a camera to a camera', ({ task }) => task.to !== 'observer' && task.to !== 'published'],
  ['a camera to the observer', ({ task }) => task.to === 'observer'],
  ['a camera to the published values', ({ task }) => task.to === 'published'],
  ['all', () => true],
]
console.log('| task | noise | tasks | matrix | auto | of means | mean ratio | worst | above 1.02 | kinds |')
console.log('| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |')
for (const [title, belongs] of groups) {
  for (const noisy of [false, true]) {
    const of = judged.filter((one) => belongs(one) && one.task.noisy === noisy)
    if (of.length === 0) continue
    const ratios = of.map(({ autoLeaves, matrixLeaves }) => autoLeaves / matrixLeaves)
    const matrix = mean(of.map(({ matrixLeaves }) => matrixLeaves))
    const auto = mean(of.map(({ autoLeaves }) => autoLeaves))
    const kinds = [...new Set(of.map((one) => one.auto.fit.kind))].map(
      (kind) => `${kind} ${of.filter((one) => one.auto.fit.kind === kind).length}`,
    )
    console.log(
      `| ${title} | ${noisy ? '0.5 %' : 'none'} | ${of.length} | ${matrix.toFixed(3)} | ${auto.toFixed(3)} | ${(auto / matrix).toFixed(3)} | ${mean(ratios).toFixed(3)} | ${Math.max(...ratios).toFixed(3)} | ${ratios.filter((ratio) => ratio > 1.02).length} | ${kinds.join(', ')} |`,
    )
  }
}

// The expected figure was calibrated on every seventh task: without them, by what may pull it one way.
const held = judged.filter(({ seventh }) => !seventh)
const shares: readonly [string, (of: Judged) => boolean][] = [
  ['no noise', ({ task }) => !task.noisy],
  ['noise 0.5 %', ({ task }) => task.noisy],
  ...groups,
]
console.log(
  '\n| model | tasks | | truth over stated mean | beyond the stated 95 % |\n| --- | --- | --- | --- | --- |',
)
for (const model of ['matrix', 'auto'] as const) {
  const outcome = (of: readonly Judged[]) => {
    const stated = of.map((one) => one[model === 'auto' ? 'autoExpected' : 'matrixExpected'])
    const left = of.map((one) => onMaterials(one[model].fit.model, one.task))
    return {
      ratio: mean(left.map(mean)) / mean(stated.map((figure) => figure.mean)),
      beyond: mean(left.flatMap((list, i) => list.map((value) => (value > stated[i]!.p95 ? 1 : 0)))),
    }
  }
  for (const [title, belongs] of shares) {
    const of = held.filter(belongs)
    if (of.length === 0) continue
    const { ratio, beyond } = outcome(of)
    console.log(
      `| ${model} | ${title} | ${of.length} | ${ratio.toFixed(3)} | ${(100 * beyond).toFixed(1)} % |`,
    )
  }
  const bySensor = sensorNames.map((name) => outcome(held.filter(({ task }) => task.from === name)))
  const range = (values: readonly number[], digits: number) =>
    `${Math.min(...values).toFixed(digits)} to ${Math.max(...values).toFixed(digits)}`
  console.log(
    `| ${model} | by sensor | | ${range(
      bySensor.map(({ ratio }) => ratio),
      3,
    )} | ${range(
      bySensor.map(({ beyond }) => 100 * beyond),
      1,
    )} % |`,
  )
}
