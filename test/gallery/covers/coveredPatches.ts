/**
 * Charts of rendered scenes with things over some of their patches, and clean: how many of the covered patches are named,
 * and of the clean ones. From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/covers/coveredPatches.ts FIRST COUNT setting|back[:CHART] [photograph left top right bottom]…`
 * for scenes with charts in grids, or with this chart; with the part of each photograph, in pixels, that is laid over charts.
 */
import {
  builtinChart,
  builtinCharts,
  type Chart,
  IsochipError,
  resolveEncoding,
  seededRandom,
} from '@isochip/core'
import {
  type FoundChart,
  type Frame,
  findChart,
  foreignPatches,
  type PatchFit,
  type Quad,
  sampleChart,
} from '@isochip/frames'
import { type SceneChart, scene } from '@isochip/synthetic'
import { tooForeign } from '../../../packages/frames/src/check/markForeign.ts'
import { coverPatches, type Kind, kindsHeldBack, kindsOfSetting } from './coverPatches.ts'
import { readPhotographs } from './readPhotographs.ts'

const [first = 5001, count = 100] = process.argv.slice(2, 4).map(Number)
const photographs = await readPhotographs(process.argv.slice(5))
const [mode, chartId] = (process.argv[4] ?? 'setting').split(':')
const among: readonly Chart[] | undefined = chartId === undefined ? undefined : [builtinChart(chartId)]
const kinds: readonly Kind[] =
  mode === 'back'
    ? kindsHeldBack.filter((kind) => kind !== 'photo' || photographs.length > 0)
    : kindsOfSetting

interface Tally {
  covered: number
  named: number
  clean: number
  wrong: number
  beside: number
  besideNamed: number
  /** Charts that are refused, since too much of them does not fit: clean ones, and covered ones. */
  refused: number
  refusedCovered: number
  readonly byKind: Map<string, [number, number]>
}
const none = (): Tally => ({
  covered: 0,
  named: 0,
  clean: 0,
  wrong: 0,
  beside: 0,
  besideNamed: 0,
  refused: 0,
  refusedCovered: 0,
  byKind: new Map(),
})
/** As a match has it, and as `read` without the camera's encoding. */
const tallies = { known: none(), unknown: none() }
let lost = 0
let frames = 0
function tell(
  tally: Tally,
  judged: readonly PatchFit[],
  truth: SceneChart,
  share: readonly number[] | undefined,
  kind: Kind,
  name: string,
): void {
  const foreign = judged.filter((one) => one.foreign).length
  if (tooForeign(judged)) {
    tally[share === undefined ? 'refused' : 'refusedCovered']++
    const glare = truth.patches.filter((one) => one.glare || one.clipped).length
    console.log(
      `refused ${name} ${share === undefined ? 'clean' : kind}: ${foreign} of ${truth.patches.length}, under glare or clipped ${glare}, covered ${share?.filter((one) => one > 0).length ?? 0}`,
    )
    return
  }
  // Of a light trap nothing is judged.
  const places = new Map(truth.patches.map(({ patch }, k) => [patch, k]))
  for (const patch of judged) {
    const k = places.get(patch.patch)!
    const { clipped, glare } = truth.patches[k]!
    const words = `${name} ${share === undefined ? 'clean' : kind} ${patch.patch} colour ${patch.colour.toFixed(1)} off ${patch.off.toFixed(3)} scatter ${patch.scatter.toFixed(2)} rough ${patch.rough.toFixed(3)} slope ${patch.slope.toFixed(3)} steep ${patch.steep.toFixed(1)} edges ${patch.edges.missing}/${patch.edges.shown}`
    const over = share?.[k] ?? 0
    if (over >= 0.5) {
      tally.covered++
      const of = tally.byKind.get(kind) ?? [0, 0]
      tally.byKind.set(kind, [of[0] + Number(patch.foreign), of[1] + 1])
      if (patch.foreign) tally.named++
      else
        console.log(
          `missed ${words} over ${over.toFixed(2)}${clipped ? ' clipped' : ''}${glare ? ' glare' : ''}`,
        )
    } else if (over === 0 && !glare && !clipped) {
      tally[share === undefined ? 'clean' : 'beside']++
      if (!patch.foreign) continue
      tally[share === undefined ? 'wrong' : 'besideNamed']++
      console.log(`wrongly ${words}`)
    }
  }
}

for (let number = first; number < first + count; number++) {
  const shown = scene(number, among)
  const { spec, range } = resolveEncoding(shown.conditions.camera.encoding)
  for (const [c, truth] of shown.charts.entries()) {
    if (truth.mirrored) continue
    const random = seededRandom(8 * number + c)
    const kind = kinds[(number + c) % kinds.length]!
    const judge = (frame: Frame, share: readonly number[] | undefined) => {
      const found = foundOf(frame, truth)
      if (found === undefined) {
        lost++
        return undefined
      }
      frames++
      for (const mode of ['known', 'unknown'] as const) {
        const curve = mode === 'known' ? { transfer: spec.transfer } : {}
        const { areas } = sampleChart({
          frames: [frame],
          chart: found.chart,
          corners: found.corners as Quad,
          map: found.map,
          range,
          ...curve,
        })
        const judged = foreignPatches(areas, found.chart, { frame, range, ...curve })
        tell(tallies[mode], judged, truth, share, kind, `${mode} ${number}`)
      }
      return found.map
    }
    const map = judge(shown.frame, undefined)
    if (map === undefined) continue
    const { frame, covered } = coverPatches(
      { frame: shown.frame, range },
      { ...truth, map },
      kind,
      random,
      photographs,
    )
    judge(frame, covered)
  }
}
const share = (a: number, b: number) => `${a} of ${b} (${((100 * a) / Math.max(1, b)).toFixed(2)} %)`
console.log(`scenes ${first}…${first + count - 1}: ${frames} charts read, ${lost} not found`)
for (const [mode, tally] of Object.entries(tallies))
  console.log(`curve ${mode}: covered by half or more and named ${share(tally.named, tally.covered)}; ${[...tally.byKind].map(([kind, [a, b]]) => `${kind} ${a}/${b}`).join(', ')}
  clean patches named: ${share(tally.wrong, tally.clean)} on clean charts, ${share(tally.besideNamed, tally.beside)} beside covered ones; charts refused as a whole: ${tally.refused} clean, ${tally.refusedCovered} covered`)

/** What was found where the chart is, be it the largest or another. */
function foundOf(frame: Frame, truth: SceneChart): FoundChart | undefined {
  try {
    const found = findChart(frame, builtinCharts)
    const [a, b, c, d] = truth.corners
    return [found, ...found.others].find((one) => {
      const [x, y] = one.map(0.5, 0.5)
      const away = Math.hypot(x - (a[0] + b[0] + c[0] + d[0]) / 4, y - (a[1] + b[1] + c[1] + d[1]) / 4)
      return one.chart.id === truth.chart.id && away < Math.hypot(a[0] - b[0], a[1] - b[1]) / 3
    })
  } catch (error) {
    if (!(error instanceof IsochipError)) throw error
    return undefined
  }
}
