/**
 * The pictures of docs/charts.md, as the command draws them. From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/chartPictures.ts`
 */
import { writeFile } from 'node:fs/promises'
import { resolveEncoding, seededRandom } from '@isochip/core'
import {
  createFrame,
  drawSampling,
  type Frame,
  findChart,
  markForeign,
  type Quad,
  sampleChart,
} from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { quietScene, type Scene } from '@isochip/synthetic'
import { coverPatches } from './covers/coverPatches.ts'

const folder = 'docs/pictures'
/** A slanted chart without a lamp's mirror image; without noise, which makes files large. */
const shown = quietScene(48)
await write('found', shown.frame, shown)
const { frame } = coverPatches(shown, shown.charts[0]!, 'leaf', seededRandom(8))
await write('covered', frame, shown)

/** What is read of a frame, drawn on it, cut to the chart and a little of what is about it. */
async function write(name: string, frame: Frame, { charts, conditions }: Scene): Promise<void> {
  const { chart, corners, map, confidence } = findChart(frame, [charts[0]!.chart])
  const { spec, range } = resolveEncoding(conditions.camera.encoding)
  const { transfer } = spec
  const sampled = sampleChart({ frames: [frame], chart, corners: corners as Quad, map, range, transfer })
  const marked = markForeign(sampled, chart, { frame, range, transfer, confidence })
  const excluded = marked.readings.patches.flatMap(({ patch, foreign }) => (foreign === true ? [patch] : []))
  const drawn = cut(drawSampling(frame, sampled.areas, { excluded }), corners as Quad)
  await writeFile(`${folder}/${name}.png`, await encodeFrame(drawn, { format: 'png' }))
  console.log(
    `${name}: ${chart.id}, confidence ${marked.confidence?.value.toFixed(2)}, left out: ${excluded.join(', ')}`,
  )
}

function cut({ data, width, height }: Frame, corners: Quad): Frame {
  const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)]
  const room = 0.1 * (Math.max(...xs) - Math.min(...xs))
  const [left, top] = [
    Math.max(0, Math.floor(Math.min(...xs) - room)),
    Math.max(0, Math.floor(Math.min(...ys) - room)),
  ]
  const wide = Math.min(width, Math.ceil(Math.max(...xs) + room)) - left
  const high = Math.min(height, Math.ceil(Math.max(...ys) + room)) - top
  const out = new Uint8Array(3 * wide * high)
  for (let y = 0; y < high; y++) {
    const from = 3 * ((y + top) * width + left)
    out.set(data.subarray(from, from + 3 * wide), 3 * y * wide)
  }
  return createFrame(wide, high, out)
}
