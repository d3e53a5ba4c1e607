import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import {
  apply3,
  builtinChart,
  encodeRgb,
  type Mat3,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import { createFrame, readingsToCsv } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { noControls } from '../../support/noControls.ts'
import { copiedFolder } from '../../support/scratchFolder.ts'

/*
 * A small invented show: flat patches of the 24-patch chart on grey, seen by three cameras whose light differs from
 * that of the first by an exact lift, gain and matrix. What a match should find is therefore known.
 */

export interface SmallCamera {
  readonly id: string
  readonly encoding: 'bt709' | 'srgb' | 'linear'
  /** Light of the chart (BT.709, linear) → light in the camera. */
  readonly matrix: Mat3
  readonly lift: Vec3
}

export const smallCameras: readonly SmallCamera[] = [
  {
    id: 'wide',
    encoding: 'bt709',
    lift: [0, 0, 0],
    matrix: [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
    ],
  },
  {
    id: 'cross',
    encoding: 'srgb',
    lift: [0.004, 0.002, 0.006],
    matrix: [
      [0.62, 0.05, 0.01],
      [0.04, 0.66, 0.05],
      [0.0, 0.1, 0.55],
    ],
  },
  {
    id: 'crane',
    encoding: 'bt709',
    lift: [0.001, 0.003, 0.001],
    matrix: [
      [0.8, 0.1, 0.03],
      [0.08, 0.72, 0.04],
      [0.02, 0.06, 0.85],
    ],
  },
]

const smallChart = builtinChart('chart24')
export const smallSize = { width: 480, height: 320 } as const
export const smallCorners = [
  [40, 40],
  [440, 40],
  [440, 300],
  [40, 300],
] as const

const working = resolvePrimaries('bt709')
const light = targetFromReference(smallChart, 'D65', working).light

/** Code values that a camera records of each patch, as nominal fractions. */
export function smallReadings(camera: SmallCamera): Readings {
  const encoding = resolveEncoding(camera.encoding)
  return {
    patches: smallChart.patches.map(({ name }) => {
      const seen = apply3(camera.matrix, light.get(name)!)
      const recorded: Vec3 = [seen[0] + camera.lift[0], seen[1] + camera.lift[1], seen[2] + camera.lift[2]]
      return {
        patch: name,
        rgb: encodeRgb(encoding, recorded),
        sd: [0.002, 0.002, 0.002] as Vec3,
        pixels: 1000,
      }
    }),
  }
}

/** A chart frame of a camera, 16-bit PNG; the noise is the same at every run. */
export async function smallFrame(
  camera: SmallCamera,
  size: { width: number; height: number } = smallSize,
): Promise<Uint8Array> {
  const { width, height } = size
  const { columns, geometry } = smallChart
  const readings = smallReadings(camera)
  const data = new Uint16Array(3 * width * height).fill(20000)
  const [[left, top], [right], [, bottom]] = smallCorners
  let state = 12345
  const noise = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return (state / 2 ** 32 - 0.5) * 200
  }
  for (const [index, { rgb }] of readings.patches.entries()) {
    const x0 = left + (right - left) * (index % columns) * geometry.pitch[0]
    const y0 = top + (bottom - top) * Math.floor(index / columns) * geometry.pitch[1]
    const x1 = x0 + (right - left) * geometry.patch[0]
    const y1 = y0 + (bottom - top) * geometry.patch[1]
    for (let y = Math.ceil(y0); y < Math.min(height, Math.floor(y1)); y++) {
      for (let x = Math.ceil(x0); x < Math.min(width, Math.floor(x1)); x++) {
        for (let c = 0; c < 3; c++) {
          data[3 * (y * width + x) + c] = Math.min(65535, Math.max(0, Math.round(65535 * rgb[c]! + noise())))
        }
      }
    }
  }
  return await encodeFrame(createFrame(width, height, data, 16), { format: 'png' })
}

const fixed = JSON.stringify(noControls)

export const smallShowText = `isochip: 1
title: Small show
chart: chart24
target: { camera: wide }
cameras:
  - { id: wide, encoding: bt709, frames: wide.png, corners: [[40, 40], [440, 40], [440, 300], [40, 300]] }
  - { id: cross, encoding: srgb, readings: cross.csv, controls: ${fixed} }
  - { id: crane, encoding: bt709, frames: crane-*.png, corners: [[40, 40], [440, 40], [440, 300], [40, 300]], controls: ${fixed} }
`

/** Writes the show into a new folder; files given replace or add to its own. Returns the folder. */
export async function writeSmallShow(
  files: Readonly<Record<string, string | Uint8Array>> = {},
): Promise<string> {
  const folder = await copiedFolder('small-show', fillSmallShow)
  write(folder, files)
  return folder
}

function write(folder: string, files: Readonly<Record<string, string | Uint8Array>>): void {
  for (const [name, content] of Object.entries(files)) {
    mkdirSync(dirname(join(folder, name)), { recursive: true })
    writeFileSync(join(folder, name), content)
  }
}

export async function fillSmallShow(folder: string): Promise<void> {
  const [wide, cross, crane] = smallCameras
  write(folder, {
    'show.yaml': smallShowText,
    'wide.png': await smallFrame(wide!),
    'cross.csv': readingsToCsv(smallReadings(cross!)),
    'crane-1.png': await smallFrame(crane!),
  })
}

/** A text with one place changed; fails where the place is not there. */
export function replaced(text: string, from: string, to: string): string {
  if (!text.includes(from)) throw new Error(`there is no "${from}" to be replaced`)
  return text.replace(from, to)
}
