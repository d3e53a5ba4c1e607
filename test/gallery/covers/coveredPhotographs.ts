/**
 * Photographs of a 24-patch chart, clean and with things over some of their patches: how many of the covered ones are
 * named, and of the others. The chart is found once, on the clean photograph. From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/covers/coveredPhotographs.ts COUNT [FILE left top right bottom]…`
 * with the part of each photograph, in pixels, that is laid over the charts of all of them.
 */
import {
  builtinChart,
  isGrid,
  resolveEncoding,
  resolvePrimaries,
  seededRandom,
  targetFromReference,
} from '@isochip/core'
import { type Frame, findChart, foreignPatches, type Quad, sampleChart } from '@isochip/frames'
import { decodeFrame } from '@isochip/frames/node'
import { tooForeign } from '../../../packages/frames/src/check/markForeign.ts'
import { type Covered, coverPatches, kindsHeldBack, kindsOfSetting } from './coverPatches.ts'
import { readPhotographs } from './readPhotographs.ts'

const [count = 40] = process.argv.slice(2, 3).map(Number)
const parts = process.argv.slice(3)
const photographs = await readPhotographs(parts)
const chart = builtinChart('chart24')
const light = targetFromReference(chart, 'D65', resolvePrimaries('bt709')).light
const range = 'full'
const kinds = [...kindsOfSetting, ...kindsHeldBack]

for (const [mode, curve] of [
  ['sRGB', { transfer: resolveEncoding('srgb').spec.transfer }],
  ['unknown', {}],
] as const) {
  let [covered, named, others, wrong, refused] = [0, 0, 0, 0, 0]
  for (const [file, name] of parts.filter((_, k) => k % 5 === 0).entries()) {
    const clean = await decodeFrame(name)
    const found = findChart(clean, [chart])
    const grid = found.chart
    if (!isGrid(grid)) continue
    const judge = (frame: Frame) => {
      const request = {
        chart: found.chart,
        corners: found.corners as Quad,
        map: found.map,
        range,
        ...curve,
      } as const
      const { areas } = sampleChart({ ...request, frames: [frame] })
      return { areas, judged: foreignPatches(areas, found.chart, { frame, range, ...curve }) }
    }
    const { areas, judged } = judge(clean)
    const truth: Covered = {
      chart: found.chart,
      map: found.map,
      patches: areas.map(({ patch, rgb }, k) => {
        const [row, column] = [Math.floor(k / grid.columns), k % grid.columns]
        const centre = found.map((column + 0.5) / grid.columns, (row + 0.5) / grid.rows)
        return { patch, centre, light: light.get(patch)!, code: rgb, clipped: false, glare: false }
      }),
    }
    others += judged.length
    wrong += judged.filter((one) => one.foreign).length
    for (let number = 0; number < count; number++) {
      const kind = kinds[number % kinds.length]!
      const random = seededRandom(1000 * file + number)
      const { frame, covered: share } = coverPatches(
        { frame: clean, range },
        truth,
        kind,
        random,
        photographs,
      )
      const seen = judge(frame).judged
      if (tooForeign(seen)) {
        refused++
        continue
      }
      for (const [k, patch] of seen.entries()) {
        if (share[k]! >= 0.5) {
          covered++
          if (patch.foreign) named++
          else console.log(`missed ${mode} ${number} ${kind} ${patch.patch} over ${share[k]!.toFixed(2)}`)
        } else if (share[k] === 0) {
          others++
          if (!patch.foreign) continue
          wrong++
          console.log(`wrongly ${mode} ${number} ${kind} ${patch.patch} colour ${patch.colour.toFixed(1)}`)
        }
      }
    }
  }
  console.log(
    `curve ${mode}: ${named} of ${covered} covered by half or more named, ${wrong} of ${others} others; ${refused} refused as a whole`,
  )
}
