import { builtinChart, type Chart, resolveEncoding, targetFromReference } from '@isochip/core'
import {
  chartMap,
  createFrame,
  type Frame,
  homographyFromUnitSquare,
  patchAreas,
  type Quad,
} from '@isochip/frames'
import { placeChart, sampleShot } from '@isochip/show'
import type { Answers } from '../messages.ts'
import { judgeShow } from './judgeShow.ts'

const size = { width: 640, height: 360 }
const corners: Quad = [
  [140, 60],
  [500, 60],
  [500, 300],
  [140, 300],
]

/**
 * Reads and matches a chart that is drawn here, while nobody waits: the browser makes fast code of what has run a few times, which
 * of the first frames that somebody drops would be half the time.
 *
 * @throws IsochipError where the drawn chart was not found: a fault of ours
 */
export async function rehearse(): Promise<Answers['rehearse']> {
  const chart = builtinChart('chart24')
  const encoding = resolveEncoding('bt709')
  const frame = drawn(chart)
  const { readings: one, bits } = sampleShot(
    [{ ...frame, warnings: [] }],
    placeChart(frame, chart, undefined),
    { chart, encoding },
  )
  // A camera that is somewhat warmer.
  const patches = one.patches.map((patch) => ({
    ...patch,
    rgb: [0.98 * patch.rgb[0], 0.95 * patch.rgb[1], 0.9 * patch.rgb[2]] as const,
  }))
  const readings = [
    { camera: 'one', setup: 'default', readings: one, bits },
    { camera: 'other', setup: 'default', readings: { ...one, patches }, bits },
  ]
  const cameras = readings.map(({ camera: id }) => ({
    id,
    encoding: 'bt709',
    shots: [{ setup: 'default', frames: [`${id}.png`] }],
  }))
  const show = { isochip: 1, chart: chart.id, target: { camera: 'one' }, cameras }
  const { judged } = await judgeShow({ kind: 'match', parts: { show, files: {} }, readings, rounds: {} })
  return { judged: judged.length }
}

/** The chart's own colours, with some noise: a frame without any is like no frame. */
function drawn(chart: Chart): Frame {
  const { width, height } = size
  const data = new Uint8Array(3 * width * height).fill(118)
  const { primaries } = resolveEncoding('bt709')
  const { light } = targetFromReference(chart, 'D65', primaries)
  for (const { patch, quad } of patchAreas(chart, chartMap(homographyFromUnitSquare(corners)!), 0.9)) {
    const colour = light.get(patch) ?? [0.18, 0.18, 0.18]
    const codes = colour.map((level) => 255 * Math.sqrt(Math.min(Math.max(level, 0), 1)))
    const [left, top] = quad[0].map(Math.round) as [number, number]
    const [right, bottom] = quad[2].map(Math.round) as [number, number]
    for (let y = top; y < bottom; y++)
      for (let x = left; x < right; x++) for (let c = 0; c < 3; c++) data[3 * (y * width + x) + c] = codes[c]!
  }
  for (let i = 0, seed = 1; i < data.length; i++) {
    seed = (1103515245 * seed + 12345) & 0x7fffffff
    data[i] = Math.min(Math.max(data[i]! + ((seed >> 16) % 5) - 2, 0), 255)
  }
  return createFrame(width, height, data)
}
