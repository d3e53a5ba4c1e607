import type { Camera } from '../camera/camera.ts'
import type { View } from '../picture/brush.ts'
import type { Pose } from '../picture/pose.ts'
import type { Light } from '../spectrum/light.ts'

export type HarbourSetup = 'day' | 'evening'

/** The light of each setup: daylight through the window; tungsten lamps over the worktop. */
export const harbourLights: Record<HarbourSetup, Light> = { day: 'D65', evening: 'A' }

/** One camera of the show: how it stands, and how it was set up for each of the two lights. */
export interface HarbourCamera {
  readonly id: string
  readonly camera: Camera
  readonly shots: Record<HarbourSetup, { readonly camera: Partial<Camera>; readonly pose: Pose }>
  readonly view: View
  readonly distortion: number
}

/** A log curve of the show's own, as the parameters of a Common LUT Format Log node. */
const harbourLog = {
  base: 2,
  logSideSlope: 0.0833,
  logSideOffset: 0.62,
  linSideSlope: 1,
  linSideOffset: 0.006,
  linSideBreak: 0.005,
}

/**
 * Three cameras that see different spectra, each with what goes wrong on a set. `wide` is the one that the others
 * shall match: set up with care. `cross` records log; its matrix is too strong, and its white balance a preset that is
 * not quite the light. `crane` has a matrix that somebody turned down, lifted blacks and a cool white balance.
 */
export const harbourCameras: readonly HarbourCamera[] = [
  {
    id: 'wide',
    camera: {
      sensor: 'sensor1',
      // Wide primaries: the cyan and the yellow of the chart lie outside BT.709, and would clip in tungsten.
      encoding: { transfer: 'bt709', primaries: 'p3-d65', range: 'full' },
      vignette: 0.05,
      flare: 0.009,
      noise: { shot: 1 / 24000, read: 0.0006 },
    },
    shots: {
      day: { camera: { exposure: -0.1 }, pose: { centre: [0.53, 0.5], size: 0.36, rotation: 0.6, pan: 3 } },
      evening: {
        camera: { exposure: -0.12 },
        pose: { centre: [0.52, 0.51], size: 0.36, rotation: -0.5, pan: -2 },
      },
    },
    view: { x: 0, y: 0, zoom: 1 },
    distortion: -0.012,
  },
  {
    id: 'cross',
    camera: {
      sensor: 'sensor5',
      encoding: { transfer: { log: harbourLog }, primaries: 'bt2020', range: 'full' },
      colour: [
        [1.07, -0.05, -0.02],
        [-0.035, 1.055, -0.02],
        [0.005, -0.04, 1.035],
      ],
      vignette: 0.04,
      flare: 0.01,
      noise: { shot: 1 / 16000, read: 0.0008 },
    },
    shots: {
      day: {
        camera: { exposure: -0.45, balancedFor: { kelvin: 5600 } },
        pose: { centre: [0.48, 0.49], size: 0.47, rotation: 1.4, pan: 17, tilt: 3 },
      },
      evening: {
        camera: { exposure: 0.35, balancedFor: { kelvin: 3200 } },
        pose: { centre: [0.5, 0.5], size: 0.46, rotation: 0.8, pan: 15, tilt: 2 },
      },
    },
    view: { x: 0.2, y: -0.01, zoom: 1.45 },
    distortion: -0.006,
  },
  {
    id: 'crane',
    camera: {
      sensor: 'sensor8',
      encoding: 'bt709',
      black: [0.013, 0.01, 0.015],
      colour: [
        [0.83, 0.14, 0.03],
        [0.05, 0.9, 0.05],
        [0.01, 0.13, 0.86],
      ],
      vignette: 0.06,
      flare: 0.012,
      noise: { shot: 1 / 16000, read: 0.0008 },
    },
    shots: {
      day: {
        camera: { exposure: -0.4, balance: [0.93, 1, 1.06] },
        pose: { centre: [0.51, 0.47], size: 0.4, rotation: -3.2, pan: -7, tilt: -14 },
      },
      evening: {
        camera: { exposure: -0.55, balance: [0.9, 1, 1.12] },
        pose: { centre: [0.5, 0.46], size: 0.41, rotation: -2.6, pan: -6, tilt: -13 },
      },
    },
    view: { x: -0.16, y: 0.06, zoom: 1.2 },
    distortion: 0.01,
  },
]
