import { builtinChart, type Chart, hypot, regionArea, regionOf } from '@isochip/core'
import { aspectOf, builtAs, type ChartLook } from '../frame/paintChart.ts'
import { project, squareToQuad } from '../picture/homography.ts'
import { type Lens, lens } from '../picture/lens.ts'
import { type Random, random } from '../random.ts'
import { type Conditions, drawConditions } from './conditions.ts'
import { type Box, boxOf, drawPose, overlaps, type Placement, placeChart } from './placeChart.ts'

/** A chart that a scene is to show. */
export interface PlannedChart {
  readonly chart: Chart
  readonly look: ChartLook
  readonly place: Placement
  /** Length of the grid's upper edge over the frame's width, as it is in the picture. */
  readonly size: number
  /** A hand holds the board by its margin: the side (0 = above, then clockwise), and the number to draw it by. */
  readonly hand?: { readonly side: number; readonly seed: number }
}

export interface ScenePlan {
  readonly conditions: Conditions
  readonly lens: Lens
  readonly charts: readonly PlannedChart[]
  /** How many things lie about, how far out of focus, and the number to draw them by. */
  readonly clutter: { readonly things: number; readonly blur: number; readonly seed: number }
}

/** What scenes have shown since there were scenes: another list gives other scenes by the same numbers. */
const gridCharts: readonly Chart[] = [builtinChart('chart24'), builtinChart('quay48')]

/** About the width of a patch with its gap, over the width of the chart. */
const patchShare = (chart: Chart) =>
  chart.regions === undefined
    ? 1 / chart.columns
    : Math.min(...chart.patches.map((_, i) => Math.sqrt(regionArea(regionOf(chart, i))))) /
      chart.regions.size[0]

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

/** What the whole board covers in the picture. */
function boardBox(place: Placement, look: ChartLook, chart: Chart, glass: Lens): Box {
  const aspect = aspectOf(builtAs(chart, look))
  const [left, top, right, bottom] = look.margin!
  const map = squareToQuad(place.corners)
  const at = (u: number, v: number) => glass.distort(project(map, [u, v]))
  const [u0, u1] = [-left / aspect, 1 + right / aspect]
  return boxOf([at(u0, -top), at(u1, -top), at(u1, 1 + bottom), at(u0, 1 + bottom)])
}

function drawChart(
  r: Random,
  conditions: Conditions,
  glass: Lens,
  mirrored: boolean,
  alone: boolean,
  taken: readonly Box[],
  charts: readonly Chart[],
): PlannedChart | undefined {
  const chart = r.pick(charts)
  const drawn = drawLook(r)
  const pose = drawPose(r, mirrored)
  const start = alone ? pose : { ...pose, size: Math.min(pose.size, 0.42) }
  const place = placeChart(r, start, aspectOf(builtAs(chart, drawn)), conditions, glass, taken)
  if (place === undefined || taken.some((grid) => overlaps(grid, boardBox(place, drawn, chart, glass)))) {
    return undefined
  }
  const [a, b] = place.corners
  const across = hypot(b[0] - a[0], b[1] - a[1])
  // A patch that is blurred to more than a third of itself could not be read by anybody.
  const blur = Math.min(conditions.blur, Math.max(1, (across * patchShare(chart)) / 6))
  const side = r.whole(0, 3)
  const hand = alone && r.chance(0.25) ? { side, seed: r.bits() } : undefined
  const [left, top, right, bottom] = drawn.margin!
  const held = hand !== undefined && [top, right, bottom, left][side]! > 0.07
  return {
    chart,
    look: { ...drawn, blur },
    place,
    size: across / conditions.width,
    ...(held ? { hand } : {}),
  }
}

/** Draws a scene with one of some charts, or with two in every eighth scene. The same number gives the same plan. */
export function planScene(seed: number, among: readonly Chart[] = gridCharts): ScenePlan {
  const r = random(seed)
  const conditions = drawConditions(r)
  const glass = lens(conditions.distortion, conditions.width, conditions.height)
  const clutter = {
    things: r.whole(1, 5),
    blur: Math.max(conditions.blur, r.between(1, 6)),
    seed: r.bits(),
  }
  const mirrored = r.chance(0.08)
  const wanted = r.chance(0.12) ? 2 : 1
  const charts: PlannedChart[] = []
  while (charts.length < wanted) {
    const taken = charts.map(({ place }) => place.box)
    const planned = drawChart(r, conditions, glass, mirrored, wanted === 1, taken, among)
    if (planned === undefined && charts.length > 0) break
    if (planned !== undefined) charts.push(planned)
  }
  return { conditions, lens: glass, charts, clutter }
}
