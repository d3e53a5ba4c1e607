/**
 * The pictures of docs/charts.md, as the command draws them. From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/chartPictures.ts`
 */
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import {
  builtinChart,
  type Chart,
  encodeRgb,
  inverse3,
  resolveEncoding,
  resolvePrimaries,
  seededRandom,
  targetFromReference,
} from '@isochip/core'
import {
  chartMap,
  createFrame,
  drawSampling,
  type Frame,
  findChart,
  homographyFromUnitSquare,
  markForeign,
  type Quad,
  sampleChart,
} from '@isochip/frames'
import { decodeFrame, encodeFrame } from '@isochip/frames/node'
import { readCharts } from '@isochip/show/node'
import {
  type Camera,
  type ChartFrameOptions,
  cameraMatrix,
  quietScene,
  renderChartFrame,
  type Scene,
  type SceneChart,
  sensorNames,
} from '@isochip/synthetic'
import { dngBytes } from '../support/dngBytes.ts'
import { coverPatches } from './covers/coverPatches.ts'

const folder = 'docs/pictures'
/** A slanted chart without a lamp's mirror image; without noise, which makes files large. */
const shown = quietScene(48)
await write('found', shown.frame, shown)
const { range } = resolveEncoding(shown.conditions.camera.encoding)
const [truth] = shown.charts as [SceneChart]
const { frame } = coverPatches(
  { frame: shown.frame, range },
  { ...truth, map: chartMap(homographyFromUnitSquare(truth.corners)!) },
  'leaf',
  seededRandom(8),
)
await write('covered', frame, shown)
await writeFile(`${folder}/spectra.svg`, spectra())
await asRead(
  'several',
  builtinChart('chart24'),
  'frame.png',
  await encodeFrame(twoCharts(), { format: 'png' }),
  true,
)
await asRead('raw', builtinChart('chart24'), 'frame.dng', sensorSamples())

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

/** What `isochip read --picture` draws of a file, with `--all` or without. */
async function asRead(
  name: string,
  chart: Chart,
  file: string,
  bytes: Uint8Array,
  all = false,
): Promise<void> {
  const scratch = await mkdtemp(join(tmpdir(), 'isochip-pictures-'))
  try {
    await writeFile(join(scratch, file), bytes)
    const picture = join(scratch, 'look.png')
    const read = await readCharts([join(scratch, file)], { chart, picture, all })
    const drawn = await decodeFrame(picture)
    await writeFile(
      `${folder}/${name}.jpg`,
      await encodeFrame(drawn, { format: 'jpeg', quality: 80, chroma: '4:4:4' }),
    )
    console.log(`${name}: ${chart.id}, read ${1 + read.others.length}`)
  } finally {
    await rm(scratch, { recursive: true })
  }
}

/** Two charts side by side: the left of one picture and the right of another. */
function twoCharts(): Frame {
  const [sensor] = sensorNames as [Camera['sensor']]
  const shot = (place: ChartFrameOptions['place']) =>
    renderChartFrame({
      chart: builtinChart('chart24'),
      width: 800,
      height: 450,
      place,
      camera: { sensor, encoding: 'bt2020', exposure: -0.3 },
      light: 'D65',
    }).frame
  const near = shot({ centre: [0.29, 0.5], size: 0.48, rotation: 4, tilt: 10 })
  const far = shot({ centre: [0.8, 0.42], size: 0.32, rotation: -12, pan: 15 })
  const row = 3 * near.width
  return { ...near, data: near.data.map((code, i) => (i % row < 0.6 * row ? code : far.data[i]!)) }
}

/** A sensor's samples behind its colour filters, as a DNG: each pixel of a rendered frame becomes a cell of the filter. */
function sensorSamples(): Uint8Array {
  const [black, white] = [512, 16383]
  const [sensor] = sensorNames as [Camera['sensor']]
  const own = inverse3(cameraMatrix(sensor, 'D65', resolvePrimaries('bt709')))
  const { width, height, data } = renderChartFrame({
    chart: builtinChart('chart24'),
    width: 480,
    height: 320,
    place: { centre: [0.5, 0.5], size: 0.8, rotation: 2, pan: 3 },
    camera: { sensor, encoding: 'linear', colour: own, balance: [0.5, 1, 0.625], exposure: -1 },
    light: 'D65',
  }).frame
  return dngBytes({
    width: 2 * width,
    height: 2 * height,
    black,
    white,
    code: (x, y) =>
      Math.round(
        black + ((white - black) * data[3 * ((y >> 1) * width + (x >> 1)) + (x % 2) + (y % 2)]!) / 65535,
      ),
  })
}

/** The spectral reflectances of the 24-patch chart, each line in its patch's own colour. */
function spectra(): string {
  const chart = builtinChart('chart24')
  const { light } = targetFromReference(chart, 'D65', resolvePrimaries('bt709'))
  const encoding = resolveEncoding('srgb')
  const wavelengths = chart.wavelengths!
  const [left, right, top, bottom] = [40, 590, 10, 300]
  const x = (nm: number) => left + ((right - left) * (nm - 380)) / 350
  const y = (share: number) => bottom - (bottom - top) * share
  const lines = chart.patches.map(({ name, reflectance }) => {
    const code = encodeRgb(encoding, light.get(name)!).map((v) =>
      Math.round(255 * Math.max(0, Math.min(1, v))),
    )
    const points = reflectance!.map((share, k) => `${x(wavelengths[k]!).toFixed(1)},${y(share).toFixed(1)}`)
    return `<polyline fill="none" stroke="rgb(${code})" stroke-width="2.5" points="${points.join(' ')}"/>`
  })
  const across = [400, 450, 500, 550, 600, 650, 700].map(
    (nm) => `<text x="${x(nm)}" y="${bottom + 18}" text-anchor="middle">${nm}</text>`,
  )
  const up = [0, 0.2, 0.4, 0.6, 0.8].map(
    (share) =>
      `<path stroke="#ccc" d="M${left} ${y(share)}H${right}"/><text x="${left - 6}" y="${y(share) + 4}" text-anchor="end">${share}</text>`,
  )
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 340" font-family="sans-serif" font-size="12">
<title>Reflectance of the 24 patches</title>
<rect width="600" height="340" fill="#8c8c8c"/>
${[...up, ...lines, ...across].join('\n')}
<text x="${(left + right) / 2}" y="335" text-anchor="middle">nm</text>
</svg>
`
}
