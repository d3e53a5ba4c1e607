import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { builtinChart, type Controls, type EncodingSpec } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { type Camera, type LightName, renderChartFrame, sensorNames } from '@isochip/synthetic'

export interface LargeShowOptions {
  readonly cameras: number
  readonly setups: number
  readonly width: number
  readonly height: number
  /** Write where the chart is into the show file; otherwise it has to be found in every frame. */
  readonly corners: boolean
  /** Where the noise of the first frame starts; default 1. */
  readonly noise?: number
  /** Default `chart24`. */
  readonly chart?: string
  /** Nodes per axis of its LUTs; default as in any show. */
  readonly lattice?: number
  /** Of each camera; default any. */
  readonly controls?: Controls
}

/** The show that the scale of the whole is measured with. */
export const fullShow: LargeShowOptions = {
  cameras: 12,
  setups: 40,
  width: 1920,
  height: 1080,
  corners: true,
}

const lights: readonly LightName[] = ['D65', 'A', 'D50', 'FL11']
const log: EncodingSpec = {
  transfer: {
    log: {
      base: 2,
      logSideSlope: 0.0833,
      logSideOffset: 0.62,
      linSideSlope: 1,
      linSideOffset: 0.006,
      linSideBreak: 0.005,
    },
  },
  primaries: 'bt2020',
  range: 'full',
}
const encodings: readonly EncodingSpec[] = ['bt709', log, 'srgb', 'bt2020']

/**
 * Writes a show of any size into a folder: cameras with measured sensors, each with a small fault of its own, in
 * setups that differ in light, exposure and framing. Every frame is rendered, no two are alike. Returns the path of
 * the show file.
 */
export async function writeLargeShow(folder: string, options: LargeShowOptions): Promise<string> {
  const { cameras, setups, width, height, noise = 1 } = options
  const chart = builtinChart(options.chart ?? 'chart24')
  mkdirSync(folder, { recursive: true })
  const entries: object[] = []
  for (let c = 0; c < cameras; c++) {
    const id = `camera${String(c + 1).padStart(2, '0')}`
    const encoding = encodings[c % encodings.length]!
    const shots: object[] = []
    for (let s = 0; s < setups; s++) {
      const setup = `scene${String(s + 1).padStart(3, '0')}`
      const camera: Camera = {
        sensor: sensorNames[c % sensorNames.length]!,
        encoding,
        exposure: -0.5 + 0.08 * ((3 * c + s) % 6),
        balance: [1 + 0.01 * (c % 5), 1, 1 - 0.008 * (c % 7)],
        vignette: 0.03,
        flare: 0.008,
        noise: { shot: 1 / 20000, read: 0.0007 },
      }
      const { frame, truth } = renderChartFrame({
        chart,
        width,
        height,
        place: { centre: [0.5, 0.5], size: 0.36 + 0.02 * (s % 4), rotation: (c % 5) - 2, pan: 2 * (s % 3) },
        camera,
        light: lights[s % lights.length]!,
        seed: noise + c * setups + s,
      })
      const name = `${id}/${setup}.png`
      mkdirSync(dirname(join(folder, name)), { recursive: true })
      writeFileSync(
        join(folder, name),
        await encodeFrame(createFrame(frame.width, frame.height, frame.data, frame.bits), { format: 'png' }),
      )
      shots.push({
        setup,
        frames: [name],
        ...(options.corners ? { corners: truth.corners } : {}),
      })
    }
    entries.push({
      id,
      encoding,
      shots,
      ...(options.controls === undefined ? {} : { controls: options.controls }),
    })
  }
  const show = {
    isochip: 1,
    title: 'Forty scenes',
    chart: chart.id,
    target: { camera: 'camera01' },
    cameras: entries,
    ...(options.lattice === undefined ? {} : { output: { size: options.lattice } }),
  }
  const path = join(folder, 'show.json')
  writeFileSync(path, JSON.stringify(show, undefined, 1))
  return path
}
