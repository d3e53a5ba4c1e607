import { builtinCharts, type Chart } from '@isochip/core'
import { readyCamera } from '../camera/camera.ts'
import { develop, type RenderedFrame } from '../camera/develop.ts'
import { type ChartTruth, chartTruth } from '../frame/chartTruth.ts'
import { builtAs, type ChartLook, type PaintedChart, paintChart } from '../frame/paintChart.ts'
import { lens } from '../picture/lens.ts'
import { type Random, random } from '../random.ts'
import { clutter } from './clutter.ts'
import { type Conditions, drawConditions } from './conditions.ts'
import { type Box, drawPose, placeChart } from './placeChart.ts'
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
  /** One mostly; two in every eighth scene or so. */
  readonly charts: readonly SceneChart[]
}

function drawLook(r: Random): ChartLook {
  const kind = r.next()
  const wide = r.chance(0.25)
  const side = () => (wide ? r.between(0.05, 0.4) : r.between(0.03, 0.14))
  return {
    gaps: r.chance(0.75),
    board: kind < 0.65 ? r.between(0.015, 0.06) : kind < 0.75 ? r.between(0.15, 0.3) : r.between(0.5, 0.88),
    margin: [side(), side(), side(), side()],
    marks: r.chance(0.6),
    unevenness: { stops: r.between(0, 1) ** 2 * 1.2, direction: r.between(0, 360) },
    ...(r.chance(0.25)
      ? {
          glare: {
            at: [r.between(-0.1, 1.1), r.between(-0.1, 1.1)] as const,
            radius: r.between(0.1, 0.6),
            level: r.between(0.05, 1.2),
          },
        }
      : {}),
  }
}

const degrees = 180 / Math.PI
const cosine = (angle: number) => Math.cos(angle / degrees)

/**
 * A cluttered scene with a chart in it, or two, shot under random conditions: any turn, up to 40° of perspective, 12 %
 * to 100 % of the frame's width, ±2.5 stops, white balance 2500…9000 K, noise, blur, distortion, glare, boards dark and
 * light, patches with and without gaps, both built-in charts, some in a mirror. The same number gives the same bytes.
 */
export function scene(seed: number): Scene {
  const r = random(seed)
  const conditions = drawConditions(r)
  const { width, height } = conditions
  const { see, development } = readyCamera(conditions.camera, conditions.light, seed)
  const glass = lens(conditions.distortion, width, height)
  const picture = clutter({
    r,
    see,
    width,
    height,
    lens: glass,
    blur: Math.max(conditions.blur, r.between(1, 6)),
    things: r.whole(1, 5),
  })
  const mirrored = r.chance(0.08)
  const taken: Box[] = []
  const painted: { chart: PaintedChart; facts: Omit<SceneChart, keyof ChartTruth> }[] = []
  const wanted = r.chance(0.12) ? 2 : 1
  for (let i = 0; i < wanted; i++) {
    const original: Chart = r.pick(builtinCharts)
    const drawn = drawLook(r)
    const { aspect } = builtAs(original, drawn).geometry
    const pose = drawPose(r, mirrored)
    const start = wanted === 2 ? { ...pose, size: Math.min(pose.size, 0.42) } : pose
    const place = placeChart(r, start, aspect, conditions, glass, taken)
    if (place === undefined) continue
    const [a, b] = place.corners
    const size = Math.hypot(b[0] - a[0], b[1] - a[1]) / width
    // A patch that is blurred to more than a third of itself could not be read by anybody.
    const pitch = (size * width) / original.columns
    const look = { ...drawn, blur: Math.min(conditions.blur, Math.max(1, pitch / 6)) }
    const chart = paintChart(picture, see, original, place.corners, glass, look)
    taken.push(place.box)
    painted.push({
      chart,
      facts: {
        look,
        mirrored,
        rotation: pose.rotation ?? 0,
        slant: Math.acos(cosine(pose.tilt ?? 0) * cosine(pose.pan ?? 0)) * degrees,
        size,
      },
    })
  }
  return {
    conditions,
    frame: sharpen(develop(picture, development), conditions.sharpening),
    charts: painted.map(({ chart, facts }) => ({ ...chartTruth(chart, picture, development), ...facts })),
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
