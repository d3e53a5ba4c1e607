import {
  type Chart,
  type ChartGeometry,
  cos,
  exp,
  type GridChart,
  regionCentre,
  regionOf,
  sin,
  type Vec3,
} from '@isochip/core'
import type { See } from '../camera/camera.ts'
import { gridLayer } from '../picture/gridLayer.ts'
import { type Point, project, type Quad, squareToQuad } from '../picture/homography.ts'
import type { Lens } from '../picture/lens.ts'
import type { Picture } from '../picture/picture.ts'
import type { Plane } from '../picture/plane.ts'
import { rectLayer } from '../picture/rectLayer.ts'
import { regionLayer } from '../picture/regionLayer.ts'
import { patchReflectances } from '../spectrum/patchReflectances.ts'
import { boardMarks, standRects } from './boardMarks.ts'

/** How a chart is built and lit. Everything has a default. */
export interface ChartLook {
  /** Dark or light stripes between the patches (default), or patches that touch. */
  readonly gaps?: boolean
  /** Reflectance of the board: default 0.035, a matte black. */
  readonly board?: number
  /** How far the board reaches beyond the patches: left, top, right, bottom, in grid heights; default 0.09. */
  readonly margin?: readonly [number, number, number, number]
  /** Corner marks and a printed scale on the board; default none. */
  readonly marks?: boolean
  /** A pole that carries the board, down out of the picture; default none. */
  readonly stand?: boolean
  /** A gradient of the light, `stops` from one side of the grid to the other; 0° = lighter to the right, 90° = down. */
  readonly unevenness?: { readonly stops: number; readonly direction: number }
  /** A lamp's mirror image on the surface: middle and radius in grid heights, its peak as light (1 = white). */
  readonly glare?: {
    readonly at: Point
    readonly radius: number
    readonly level: number
  }
  /** Diameter of the blur circle in pixels; default 1, sharp. */
  readonly blur?: number
}

interface PaintedPatch {
  readonly patch: string
  /** In the picture, lens included. */
  readonly centre: Point
  /** White-balanced sensor RGB at the centre, before exposure. */
  readonly seen: Vec3
  /** Most light that a mirrored lamp adds anywhere on the patch. */
  readonly glare: number
}

export interface PaintedChart {
  /** The chart as painted: with the geometry of touching patches, where there are no gaps. */
  readonly chart: Chart
  /**
   * Outer corners of the patch grid in the picture, lens included: of the first patch, of the last in the first row,
   * of the last, of the first in the last row. Clockwise, unless the chart is seen in a mirror.
   */
  readonly corners: Quad
  readonly patches: readonly PaintedPatch[]
}

/** The geometry of a chart without gaps: patches keep their shape and touch. */
function withoutGaps({ columns, rows, geometry }: GridChart): ChartGeometry {
  const shape = (geometry.patch[0] * geometry.aspect) / geometry.patch[1]
  return {
    pitch: [1 / columns, 1 / rows],
    patch: [1 / columns, 1 / rows],
    aspect: (shape * columns) / rows,
  }
}

/** The chart as `paintChart` will paint it; its aspect is needed to place it. Regions are as they are. */
export function builtAs(chart: Chart, look: ChartLook): Chart {
  if (chart.regions !== undefined || (look.gaps ?? true)) return chart
  return { ...chart, geometry: withoutGaps(chart) }
}

/** Width over height of what a chart's corners are those of. */
export const aspectOf = (chart: Chart): number =>
  chart.regions === undefined ? chart.geometry.aspect : chart.regions.size[0] / chart.regions.size[1]

/** Middle and box of every patch: u, v of the plane that the chart's corners span. */
function patchBoxes(chart: Chart) {
  if (chart.regions !== undefined) {
    const [width, height] = chart.regions.size
    return chart.patches.map((_, i) => {
      const region = regionOf(chart, i)
      const [x, y] = regionCentre(region)
      const points =
        'circle' in region
          ? ([-1, 1] as const).map((side) => [
              x + side * region.circle.radius,
              y + side * region.circle.radius,
            ])
          : region.polygon
      const range = (axis: 0 | 1, full: number) => {
        const all = points.map((point) => point[axis]! / full)
        const least = Math.min(...all)
        return [least, Math.max(...all) - least] as const
      }
      const [u0, du] = range(0, width)
      const [v0, dv] = range(1, height)
      return { u: x / width, v: y / height, u0, v0, du, dv }
    })
  }
  const { pitch, patch } = chart.geometry
  return chart.patches.map((_, i) => {
    const u0 = (i % chart.columns) * pitch[0]
    const v0 = Math.floor(i / chart.columns) * pitch[1]
    return { u: u0 + patch[0] / 2, v: v0 + patch[1] / 2, u0, v0, du: patch[0], dv: patch[1] }
  })
}

/** Paints a chart into a picture, as a camera sees it in its light. `corners` are those before the lens bends them. */
export function paintChart(
  picture: Picture,
  see: See,
  original: Chart,
  corners: Quad,
  lens: Lens,
  look: ChartLook = {},
): PaintedChart {
  const chart = builtAs(original, look)
  const aspect = aspectOf(chart)
  const colours = patchReflectances(original).map((reflectance) => see(reflectance))
  const diffuser = see()
  const grey = (level: number): Vec3 => [diffuser[0] * level, diffuser[1] * level, diffuser[2] * level]
  const plane: Plane = { corners, lens, softness: Math.max(look.blur ?? 1, 1) }
  const margin = look.margin ?? [0.09, 0.09, 0.09, 0.09]
  const board = look.board ?? 0.035

  const { unevenness, glare } = look
  const turn = ((unevenness?.direction ?? 0) * Math.PI) / 180
  const [across, down] = [cos(turn), sin(turn)]
  const span = Math.abs(across) + Math.abs(down)
  const steepness = ((unevenness?.stops ?? 0) * Math.LN2) / span
  const shade = (u: number, v: number) => exp(steepness * ((u - 0.5) * across + (v - 0.5) * down))
  const sheen = (u: number, v: number) => {
    if (glare === undefined) return 0
    const x = (u - glare.at[0]) * aspect
    const y = v - glare.at[1]
    const squared = (x * x + y * y) / (glare.radius * glare.radius)
    return squared > 3 ? 0 : glare.level * exp(-squared * squared)
  }
  if (look.stand) rectLayer(picture, plane, standRects(aspect, margin, grey))
  const layer = {
    colours,
    board: grey(board),
    margin,
    ...(unevenness === undefined ? {} : { shade }),
    ...(glare === undefined ? {} : { sheen: { colour: diffuser, level: sheen } }),
  }
  if (chart.regions === undefined) {
    const { columns, rows, geometry } = chart
    gridLayer(picture, plane, { ...layer, ...geometry, columns, rows, radius: 0.03 })
  } else {
    const regions = chart.patches.map((_, i) => regionOf(chart, i))
    regionLayer(picture, plane, { ...layer, regions, size: chart.regions.size })
  }
  if (look.marks) rectLayer(picture, plane, boardMarks(aspect, margin, grey(board > 0.3 ? 0.05 : 0.75)))

  const map = squareToQuad(corners)
  const bend = (u: number, v: number) => lens.distort(project(map, [u, v]))
  return {
    chart,
    corners: [bend(0, 0), bend(1, 0), bend(1, 1), bend(0, 1)],
    patches: patchBoxes(chart).map(({ u, v, u0, v0, du, dv }, i): PaintedPatch => {
      const { name } = chart.patches[i]!
      let worst = 0
      for (let n = 0; n < 25; n++) {
        const level = sheen(u0 + (du * (n % 5)) / 4, v0 + (dv * Math.floor(n / 5)) / 4)
        worst = Math.max(worst, level)
      }
      const light = shade(u, v)
      const extra = sheen(u, v)
      const [r, g, b] = colours[i]!
      return {
        patch: name,
        centre: bend(u, v),
        seen: [
          r * light + extra * diffuser[0],
          g * light + extra * diffuser[1],
          b * light + extra * diffuser[2],
        ],
        glare: worst,
      }
    }),
  }
}
