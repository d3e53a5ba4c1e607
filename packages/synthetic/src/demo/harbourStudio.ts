import { builtinChart, identity3, type Mat3 } from '@isochip/core'
import type { RenderedFrame } from '../camera/develop.ts'
import { type ChartFrameOptions, chartCorners, standingCamera } from '../frame/renderChartFrame.ts'
import type { PerControl, StudioSettings } from '../studio/studioSettings.ts'
import { harbourCameras, harbourLights } from './harbourCameras.ts'
import { kitchenSpectra } from './kitchenColours.ts'
import { paintKitchen } from './paintKitchen.ts'

export interface StudioSeat {
  readonly id: string
  /** As its controls stand before anybody has turned them. */
  readonly begin: StudioSettings
  /** How much of what is asked its controls do. */
  readonly acts: PerControl
  /** What it records. `shot` counts its shots: noise differs. */
  shoot(settings: StudioSettings, shot: number): RenderedFrame
}

export interface HarbourStudio {
  /** Text of `show.yaml`. */
  readonly show: string
  /** The target camera first. */
  readonly seats: readonly StudioSeat[]
}

const exactly: PerControl = { exposure: 1, gains: 1, matrix: 1, pedestal: 1 }
const right: StudioSettings = { exposure: 0, red: 1, blue: 1, matrix: identity3, pedestal: [0, 0, 0] }

/** A matrix that was turned down: less colour, more of it in red. */
const turnedDown: Mat3 = [
  [0.86, 0.12, 0.02],
  [0.04, 0.92, 0.04],
  [0.01, 0.1, 0.89],
]

/** Three cameras that record BT.709: `wide` is set up, the others are as they came out of the case. */
const standing: Readonly<Record<string, { readonly begin: StudioSettings; readonly acts: PerControl }>> = {
  wide: { begin: { ...right, exposure: -0.1 }, acts: exactly },
  cross: {
    begin: { ...right, exposure: -0.5, red: 0.92, blue: 1.09, pedestal: [0.02, 0.018, 0.023] },
    acts: { exposure: 1, gains: 1, matrix: 1.05, pedestal: 1 },
  },
  crane: {
    begin: { exposure: 0.1, red: 1.04, blue: 0.9, matrix: turnedDown, pedestal: [0.012, 0.01, 0.014] },
    acts: { exposure: 0.95, gains: 1.1, matrix: 1.1, pedestal: 0.9 },
  },
}

/**
 * The kitchen of the demo on the morning before the show, by day: three cameras that stand where they will shoot, a chart in
 * front of each, and controls that can be turned.
 *
 * @param size of the frames
 */
export function harbourStudio(
  size: { width: number; height: number } = { width: 1280, height: 720 },
): HarbourStudio {
  const spectra = kitchenSpectra()
  const seats = harbourCameras.map(({ id, camera, shots, view, distortion }, number) => {
    const options: ChartFrameOptions = {
      chart: builtinChart('chart24'),
      ...size,
      place: shots.day.pose,
      camera: {
        sensor: camera.sensor,
        encoding: 'bt709',
        bits: 8,
        vignette: camera.vignette ?? 0,
        flare: 0.006,
        noise: { shot: 1 / 24000, read: 0.0008 },
      },
      light: harbourLights.day,
      distortion,
      blur: (1.5 * size.width) / 1920,
      marks: true,
      stand: true,
      background: (see) => paintKitchen(see, spectra, 'day', view, 4.5),
    }
    let stand: ReturnType<typeof standingCamera> | undefined
    const { begin, acts } = standing[id]!
    return {
      corners: chartCorners(options),
      seat: {
        id,
        begin,
        acts,
        shoot: ({ exposure, red, blue, matrix, pedestal }: StudioSettings, shot: number) => {
          stand ??= standingCamera(options)
          const settings = { exposure, balance: [red, 1, blue], colour: matrix, pedestal } as const
          return stand({ ...options.camera, ...settings }, 5000 + 1000 * number + shot)
        },
      },
    }
  })
  const lines = seats.map(({ seat: { id }, corners }) => {
    const points = corners.map(([x, y]) => `[${x.toFixed(1)}, ${y.toFixed(1)}]`).join(', ')
    return `  - { id: ${id}, encoding: bt709, frames: [${id}.png], corners: [${points}], controls: { flare: none, gamma: none } }`
  })
  const show = `isochip: 1
title: Harbour Kitchen, before the show
chart: chart24
target: { camera: wide }
tolerance: { mean: 1.0, max: 3.0 }   # ΔE00
cameras:
${lines.join('\n')}
`
  return { show, seats: seats.map(({ seat }) => seat) }
}
