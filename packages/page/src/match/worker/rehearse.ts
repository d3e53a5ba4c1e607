import { builtinChart, type Chart, resolveEncoding, targetFromReference } from '@isochip/core'
import { chartMap, homographyFromUnitSquare, mapQuad, patchAreas, type Quad } from '@isochip/frames'
import type { Answers } from '../messages.ts'
import { judgeShow } from './judgeShow.ts'
import { readSource } from './readSource.ts'

const size = { width: 1920, height: 1080 }
/** As charts are shot: not quite level, and from somewhat beside. */
const corners: Quad = [
  [520, 240],
  [1410, 265],
  [1385, 850],
  [505, 820],
]
/** Of a camera that is somewhat warmer and a quarter of a stop lower than the other. */
const gains = [
  [1, 1, 1],
  [0.86, 0.8, 0.7],
] as const

/**
 * Reads and matches two drawn frames of a chart, while nobody waits: the browser makes fast code of what has run a few times,
 * which of the first frames that somebody drops would be half the time. They are drawn as frames come: with something
 * behind the chart, uneven light and noise, in a file.
 *
 * @throws IsochipError where the drawn chart was not found: a fault of ours
 */
export async function rehearse(): Promise<Answers['rehearse']> {
  const chart = builtinChart('chart24')
  const ids = ['one', 'other']
  const readings = []
  for (const [i, camera] of ids.entries()) {
    const files = [{ path: `${camera}.png`, file: await drawn(chart, gains[i]!) }]
    const read = await readSource({
      ...{ kind: 'read', chart: chart.id, files: {}, encoding: 'bt709', camera, setup: 'default' },
      ...{ source: { files }, sourceNumber: -1 - i },
    })
    read.frame?.picture.close()
    readings.push(read.readings)
  }
  const cameras = ids.map((id) => ({
    id,
    encoding: 'bt709',
    shots: [{ setup: 'default', frames: [`${id}.png`] }],
  }))
  const show = { isochip: 1, chart: chart.id, target: { camera: 'one' }, cameras }
  const { judged } = await judgeShow({ kind: 'match', parts: { show, files: {} }, readings, rounds: {} })
  return { judged: judged.length }
}

/** The chart's own colours on black card before a wall with things on it. */
async function drawn(chart: Chart, gain: readonly [number, number, number]): Promise<Blob> {
  const { width, height } = size
  // Without transparency the file has three channels, as those of cameras have.
  const context = new OffscreenCanvas(width, height).getContext('2d', {
    alpha: false,
    willReadFrequently: true,
  })!
  const random = randomFrom(1)
  const encode = (level: number) => 255 * Math.min(Math.max(level, 0), 1) ** (1 / 2)
  const fill = (light: readonly number[]) => {
    context.fillStyle = `rgb(${light.map((level, c) => Math.round(encode(level * gain[c]!))).join()})`
  }
  const shape = (quad: Quad) => {
    context.beginPath()
    for (const [x, y] of quad) context.lineTo(x, y)
    context.fill()
  }
  fill([0.3, 0.3, 0.3])
  context.fillRect(0, 0, width, height)
  for (let i = 0; i < 60; i++) {
    fill([0.6 * random(), 0.6 * random(), 0.6 * random()])
    context.fillRect(width * random(), height * random(), 200 * random(), 200 * random())
  }
  fill([0.03, 0.03, 0.03])
  shape(mapQuad(corners, ([x, y]) => [x + 0.06 * (x - width / 2), y + 0.08 * (y - height / 2)]))
  const { light } = targetFromReference(chart, 'D65', resolveEncoding('bt709').primaries)
  for (const { patch, quad } of patchAreas(chart, chartMap(homographyFromUnitSquare(corners)!), 0.86)) {
    fill(light.get(patch) ?? [0.18, 0.18, 0.18])
    shape(quad)
  }
  const picture = context.getImageData(0, 0, width, height)
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at += 4) {
      const falloff = 1 - (0.06 * x) / width
      for (let c = 0; c < 3; c++)
        picture.data[at + c] = falloff * picture.data[at + c]! + 6 * (random() + random() - 1)
    }
  }
  context.putImageData(picture, 0, 0)
  return await context.canvas.convertToBlob({ type: 'image/png' })
}

/** Numbers 0…1, the same every time: Numerical Recipes' quick generator. */
function randomFrom(seed: number): () => number {
  let state = seed
  return () => {
    state = (Math.imul(1664525, state) + 1013904223) >>> 0
    return state / 2 ** 32
  }
}
