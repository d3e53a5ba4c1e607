import type { Chart } from '@isochip/core'
import { acos, cos } from '@isochip/core'
import { readyCamera } from '../camera/camera.ts'
import { develop, type RenderedFrame } from '../camera/develop.ts'
import { type ChartTruth, chartTruth } from '../frame/chartTruth.ts'
import { type ChartLook, paintChart } from '../frame/paintChart.ts'
import { lens } from '../picture/lens.ts'
import { random } from '../random.ts'
import { clutter } from './clutter.ts'
import { type Conditions, drawConditions } from './conditions.ts'
import { paintHand } from './paintHand.ts'
import { planScene, type ScenePlan } from './planScene.ts'
import { sharpen } from './sharpen.ts'

/** A chart in a scene, and what is true of it. */
export interface SceneChart extends ChartTruth {
  readonly look: ChartLook
  /** Seen in a mirror: its corners run anticlockwise. */
  readonly mirrored: boolean
  /** Degrees clockwise in the picture. */
  readonly rotation: number
  /** Angle between the line of sight and the chart's normal, degrees. */
  readonly slant: number
  /** Length of the grid's upper edge over the frame's width, as it is in the picture. */
  readonly size: number
}

export interface Scene {
  readonly frame: RenderedFrame
  readonly conditions: Conditions
  /** One mostly; two in every eighth scene or so. None covers another's patches. */
  readonly charts: readonly SceneChart[]
}

const degrees = 180 / Math.PI
const cosine = (angle: number) => cos(angle / degrees)

/**
 * A cluttered scene with a chart in it, or two, shot under random conditions: any turn, up to 40° of perspective, 12 %
 * to 100 % of the frame's width, ±2.5 stops, white balance 2500…9000 K, noise, blur, distortion, glare, boards dark and
 * light, patches with and without gaps, charts in grids or those that are given, some in a mirror, some held by a hand. The same number
 * gives the same bytes.
 */
export function scene(seed: number, among?: readonly Chart[]): Scene {
  return paintScene(seed, planScene(seed, among))
}

/** The same scene as a camera without noise would show it: only its code values are rounded. */
export function quietScene(seed: number, among?: readonly Chart[]): Scene {
  const plan = planScene(seed, among)
  const { noise: _, ...camera } = plan.conditions.camera
  return paintScene(seed, { ...plan, conditions: { ...plan.conditions, camera } })
}

function paintScene(seed: number, { conditions, charts, lens: glass, clutter: around }: ScenePlan): Scene {
  const { width, height } = conditions
  const { see, development } = readyCamera(conditions.camera, conditions.light, seed)
  const picture = clutter({
    r: random(around.seed),
    see,
    width,
    height,
    lens: glass,
    blur: around.blur,
    things: around.things,
  })
  const painted = charts.map((planned) => {
    const done = paintChart(picture, see, planned.chart, planned.place.corners, glass, planned.look)
    paintHand(picture, see, planned, glass)
    return { planned, done }
  })
  return {
    conditions,
    frame: sharpen(develop(picture, development), conditions.sharpening),
    charts: painted.map(({ planned, done }) => {
      const { pose } = planned.place
      return {
        ...chartTruth(done, picture, development),
        look: planned.look,
        mirrored: pose.mirrored ?? false,
        rotation: pose.rotation ?? 0,
        slant: acos(cosine(pose.tilt ?? 0) * cosine(pose.pan ?? 0)) * degrees,
        size: planned.size,
      }
    }),
  }
}

/** A cluttered scene with no chart in it: tiles, windows, keyboards, screens, mosaics of other colours. */
export function chartFreeScene(seed: number): Omit<Scene, 'charts'> {
  const r = random(seed)
  const conditions = drawConditions(r)
  const { width, height } = conditions
  const { see, development } = readyCamera(conditions.camera, conditions.light, seed)
  const picture = clutter({
    r,
    see,
    width,
    height,
    lens: lens(conditions.distortion, width, height),
    blur: conditions.blur,
    things: r.whole(3, 8),
  })
  return { conditions, frame: sharpen(develop(picture, development), conditions.sharpening) }
}
