/**
 * Prints how well causes of a residual are told apart with source and target held out of the prior, how many clean charts
 * have outliers, and what charts leave that were read right and wrong. From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/judgeDiagnosis.ts [rounds]`
 */
import { builtinChart, matchCamera, resolveEncoding, type Vec3 } from '@isochip/core'
import { lightNames, sensorNames } from '@isochip/synthetic'
import { pooledSensors } from '../../packages/core/scripts/pooledSensors.ts'
import { labSeenBy, viewing } from '../../packages/core/src/colour/viewing.ts'
import { residualBudget } from '../../packages/core/src/diagnose/budget.ts'
import { identity3 } from '../../packages/core/src/linear/mat3.ts'
import { affineQuality } from '../../packages/core/src/misread/affineQuality.ts'
import { relabellings } from '../../packages/core/src/misread/relabellings.ts'
import { priorOf } from '../../packages/core/src/prior/sensorPrior.ts'
import { type Measure, matchProblem } from '../../packages/core/src/problem/matchProblem.ts'
import { seededRandom } from '../../packages/core/src/random.ts'
import { prepareSamples } from '../../packages/core/src/samples/prepareSamples.ts'
import { chooseKind } from '../../packages/core/src/select/chooseKind.ts'
import { exactTarget } from '../../packages/core/test/support/exactTarget.ts'
import { heldBackFaults } from '../../packages/core/test/support/heldBackFaults.ts'
import { each, injections, pick } from '../../packages/core/test/support/injections.ts'
import { type Device, lightsSeen, working } from '../../packages/core/test/support/lightsSeen.ts'
import { normalNoise } from '../../packages/core/test/support/normalNoise.ts'
import { readingsOf } from '../../packages/core/test/support/readingsOf.ts'

const rounds = Number(process.argv[2] ?? 48)
const devices: readonly Device[] = [...sensorNames, 'observer']
const encoding = resolveEncoding('linear')
const measure: Measure = {
  declared: identity3,
  viewing: viewing(working, 'scene'),
  objective: 'perceptual',
}
const random = seededRandom(11)
const normal = normalNoise(12)
const chart = builtinChart('chart24')
const names = chart.patches.map(({ name }) => name)

for (const [title, faults] of [
  ['faults that thresholds were set by', injections],
  ['other faults', heldBackFaults],
] as const) {
  console.log(
    `limit by injected cause, ${title}, ${rounds} cases each, source and target held out of the prior`,
  )
  let [right, cases] = [0, 0]
  for (const [what, [cause, inject]] of Object.entries(faults)) {
    const said = new Map<string, number>()
    for (let round = 0; round < rounds; round++) {
      const from = pick(devices, random)
      const to = pick(
        devices.filter((device) => device !== from),
        random,
      )
      const light = pick(['D65', 'A', 'D50', 'FL11', 'LED-B3'] as const, random)
      const other = random() < 0.5 ? light : pick(['D65', 'A'] as const, random)
      const { lights, sd = 0 } = inject(lightsSeen(chart, from, light), random, normal)
      const all = Math.hypot(0.0005, sd)
      const patches = each(lights, (x) => x + 0.0005 * normal()).lights.map((rgb, i) => ({
        patch: names[i]!,
        rgb,
        sd: [all, all, all] as const,
        pixels: 1,
      }))
      const target = exactTarget(names, lightsSeen(chart, to, other))
      const prepared = prepareSamples(chart, { patches }, encoding, target, {})
      const { fit, problem } = chooseKind('lift-gain-matrix', matchProblem(prepared.samples, measure), true)
      const { weight } = problem.samples
      const without = new Set([...weight.keys()].filter((p) => weight[p]! < 1))
      const held = sensorNames.filter((name) => name !== from && name !== to)
      const sensors = priorOf(pooledSensors(held, lightNames))
      const budget = residualBudget(fit, matchProblem(problem.samples, { ...measure, sensors }), without)
      const limit = budget?.limit ?? 'none'
      const words = limit !== cause && budget?.or?.includes(cause) ? `${limit} or ${cause}` : limit
      said.set(words, (said.get(words) ?? 0) + 1)
      cases++
      if (limit === cause) right++
    }
    const list = [...said].sort((a, b) => b[1] - a[1]).map(([limit, count]) => `${limit} ${count}`)
    console.log(`  ${what.padEnd(48)} ${cause.padEnd(11)} ${list.join(', ')}`)
  }
  console.log(`  ${right} of ${cases}`)
}

for (const id of ['chart24', 'quay48']) {
  const board = builtinChart(id)
  const patches = board.patches.map(({ name }) => name)
  const lab = labSeenBy(measure.viewing)
  const ways = relabellings(board)
  let [tasks, named, right, wrong] = [0, 0, 0, Number.POSITIVE_INFINITY]
  for (const from of devices) {
    for (const to of devices.filter((device) => device !== from)) {
      const [here, there] = [pick(lightNames, random), pick(lightNames, random)]
      const source = lightsSeen(board, from, here)
      const aims = lightsSeen(board, to, there)
      const { warnings } = matchCamera(
        {
          chart: board,
          readings: readingsOf(patches, source),
          encoding,
          target: exactTarget(patches, aims),
          working,
        },
        { evenness: 'off' },
      )
      tasks++
      if (warnings.some(({ code }) => code === 'patch-outlier')) named++
      right = Math.max(right, affineQuality(source, aims, lab)!.scatter)
      for (const { read } of ways) {
        const quality = affineQuality(source, read(aims) as Vec3[], lab)
        if (quality?.proper) wrong = Math.min(wrong, quality.scatter)
      }
    }
  }
  console.log(`${id}: ${named} of ${tasks} clean charts have an outlier`)
  console.log(
    `${id}: scatter ${right.toFixed(1)} at most as read right, ${wrong.toFixed(1)} at least as misread`,
  )
}
