import { writeFileSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import {
  builtinChart,
  diagonal3,
  inverse3,
  type Mat3,
  multiply3,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { parseMatchFile } from '@isochip/show'
import { type Camera, cameraMatrix, renderChartFrame, sensorNames } from '@isochip/synthetic'
import { expect, test } from 'vitest'
import { fitted } from '../../packages/show/test/fitted.ts'
import { consumer } from '../support/consumer.ts'
import { dngBytes } from '../support/dngBytes.ts'
import { copiedFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'

const light = 'D65'
const [sensor] = sensorNames as [Camera['sensor']]
/** What the camera has built in for that light. */
const built = cameraMatrix(sensor, light, resolvePrimaries('bt709'))
/** Without its white balance red and blue count fewer photons than green (common practice, no source). */
const unbalanced: Vec3 = [0.5, 1, 0.625]
/** Exposure of the sensor's samples, and that of the developed picture, in stops below a full white. */
const stops = { raw: -1, own: -0.4 }
const [black, white] = [512, 16383]

/** A chart in front of one sensor, by what becomes of its light. */
const render = (camera: Omit<Camera, 'sensor'>, seed: number) =>
  renderChartFrame({
    chart: builtinChart('chart24'),
    width: 600,
    height: 400,
    place: { centre: [0.5, 0.5], size: 0.4, rotation: 2, pan: 3 },
    camera: { sensor, noise: { shot: 1 / 20000, read: 0.0007 }, ...camera },
    light,
    seed,
  }).frame

/** The camera's own picture, BT.709. */
const developed = async () => {
  const { width, height, data, bits } = render({ encoding: 'bt709', exposure: stops.own }, 1)
  return await encodeFrame(createFrame(width, height, data, bits), { format: 'png' })
}

/** The same sensor's samples: each pixel becomes a cell of the filter. */
function sensorSamples(): Buffer {
  const own: Mat3 = inverse3(built)
  const frame = render({ encoding: 'linear', colour: own, balance: unbalanced, exposure: stops.raw }, 2)
  const { width, data } = frame
  return dngBytes({
    width: 2 * width,
    height: 2 * frame.height,
    black,
    white,
    code: (x, y) => {
      const at = 3 * ((y >> 1) * width + (x >> 1)) + (x % 2) + (y % 2)
      return Math.round(black + ((white - black) * data[at]!) / 65535)
    },
  })
}

const newFolder = () =>
  copiedFolder('raw', async (folder) => {
    writeFileSync(join(folder, 'own.png'), await developed())
    writeFileSync(join(folder, 'raw.dng'), sensorSamples())
  })

const showText = (encoding: string) => `isochip: 1
chart: chart24
target: { camera: own }
output: { formats: [cube, clf] }
cameras:
  - { id: own, encoding: bt709, frames: own.png }
  - { id: raw, encoding: ${encoding}, frames: raw.dng }
`

consumer('libraw').describe('a chart in camera raw', () => {
  test('is matched to the picture that the camera made of it: its matrix, white balance and exposure come out', async () => {
    const folder = await newFolder()
    writeFileSync(join(folder, 'show.yaml'), showText('linear'))
    const { status, err } = await runCommand('match', join(folder, 'show.yaml'))
    expect(err).toBe('')
    expect(status).toBe(0)
    const path = join(folder, 'isochip-out', 'default', 'raw.match.json')
    const { model, summary } = fitted(await parseMatchFile(await readFile(path, 'utf8'), path))
    const truth = multiply3(
      built,
      diagonal3(unbalanced.map((factor) => 2 ** (stops.own - stops.raw) / factor) as unknown as Vec3),
    )
    const found = multiply3(model.matrix, diagonal3(model.gain))
    for (const i of [0, 1, 2] as const)
      for (const j of [0, 1, 2] as const)
        expect(Math.abs(found[i][j] - truth[i][j])).toBeLessThan(0.02 * truth[i][i])
    expect(summary.after.mean).toBeLessThan(0.3)
  })

  test('with another encoding declared is doubted aloud', async () => {
    const folder = await newFolder()
    writeFileSync(join(folder, 'show.yaml'), showText('srgb'))
    const { out, status } = await runCommand('match', join(folder, 'show.yaml'), '--strict')
    expect(status).toBe(3)
    expect(out.replace(/\s+/g, ' ')).toContain('the frame is camera raw, which holds linear light')
  })

  test('read reckons its light without being told', async () => {
    const folder = await newFolder()
    const { status, out } = await runCommand('read', join(folder, 'raw.dng'), '--chart', 'chart24', '--json')
    expect(status).toBe(0)
    expect(JSON.parse(out)).toMatchObject({ checkedAs: 'linear', warnings: [] })
  })

  test('init proposes linear light, with the primaries to be filled in', async () => {
    const folder = await newFolder()
    const { status } = await runCommand('init', folder, '--out', join(folder, 'show.yaml'))
    expect(status).toBe(0)
    expect(await readFile(join(folder, 'show.yaml'), 'utf8')).toContain('transfer: linear')
  })
})
