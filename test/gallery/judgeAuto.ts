/**
 * `auto` against `lift-gain-matrix` on real materials that are not on the chart, with sensors that its prior has not seen.
 * From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/judgeAuto.ts [every so manieth task, default 1]`
 */
import { sensorNames } from '@isochip/synthetic'
import { type Judged, judgeTask, mean, onMaterials } from '../support/judgeTask.ts'
import { allPairs, judgingLights, judgingTask } from '../support/judgingSet.ts'

const every = Number(process.argv[2] ?? 1)
const judged: Judged[] = []
let number = 0
for (const light of judgingLights) {
  for (const { from, to } of allPairs()) {
    for (const noise of [0, 0.005]) {
      if (number++ % every === 0) judged.push(judgeTask(judgingTask(from, to, light, noise, number)))
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

// The expected figure: calibrated on one half of the sensors and materials, so each half is said by itself.
console.log('\n| model | half | truth over stated mean | beyond the stated 95 % |\n| --- | --- | --- | --- |')
for (const model of ['matrix', 'auto'] as const) {
  for (const half of [0, 1]) {
    const of = judged.filter(({ task }) => sensorNames.indexOf(task.from) % 2 === half)
    const materials = of.map((one) =>
      onMaterials(one[model].fit.model, one.task).filter((_, i) => i % 2 === half),
    )
    const stated = of.map((one) => one[model === 'auto' ? 'autoExpected' : 'matrixExpected'])
    const ratio = mean(materials.map(mean)) / mean(stated.map((figure) => figure.mean))
    const beyond = mean(
      materials.flatMap((list, i) => list.map((difference) => (difference > stated[i]!.p95 ? 1 : 0))),
    )
    console.log(
      `| ${model} | ${half === 0 ? 'odd' : 'even'} sensors and samples | ${ratio.toFixed(3)} | ${(100 * beyond).toFixed(1)} % |`,
    )
  }
}
