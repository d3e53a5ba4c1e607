import { hypot, type Mat3, multiply3, type RegionChart } from '@isochip/core'
import type { Frame } from '../../frame/frame.ts'
import { project } from '../../geometry/homography.ts'
import { constants } from '../constants.ts'
import type { CellColour } from '../place/cellColour.ts'
import { colourFit } from '../place/colourFit.ts'
import { roughFit } from '../place/explainedByAll.ts'
import type { Confidence } from '../place/judgePlacement.ts'
import { evenness } from '../place/placements.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import { applyChartModel, type ChartModel } from '../refine/chartModel.ts'
import type { Blobs } from './blobs.ts'
import type { Constellation } from './constellation.ts'
import { constellationPlaces } from './constellationPlaces.ts'
import { refineRegions } from './refineRegions.ts'
import { boardVeil, flipped, glimpse, regionColours } from './regionColours.ts'

/** A place of a chart of regions, judged by its colours. */
export interface FoundRegions {
  readonly chart: RegionChart
  /** From the chart's own coordinates to frame pixels. */
  readonly model: ChartModel
  readonly confidence: Confidence
  readonly mirrored: boolean
}

export interface RegionTask {
  readonly frame: Frame
  readonly image: WorkingImage
  readonly blobs: Blobs
  /** The picture at a size that shows the edges of a chart of a pitch well. */
  readonly finer: (pitch: number) => WorkingImage
  /** A picture filtered, for where noise hides the edges. */
  readonly filtered: (picture: WorkingImage) => WorkingImage
  readonly budget: { left: number }
}

interface Draft {
  /** From the chart's own coordinates to working pixels. */
  readonly map: Mat3
  readonly explained: number
  /** Regions at whose place there is a figure. */
  readonly matched: number
}

/** Looks for one chart of regions: places by geometry, which of them and which way up by colours, then the edges. */
export function findRegions(task: RegionTask, chart: Constellation): FoundRegions[] {
  const { image, blobs, budget } = task
  const { refined, promising, leastRough, fitted, cost } = constants.regions
  const turns = constellationPlaces(blobs, chart, budget)
    .flatMap(({ map, matched }) =>
      turnsOf(chart, map).map((one) => ({ map: one, matched, rank: roughly(image, chart, one) })),
    )
    .filter(({ rank }) => rank >= leastRough)
  turns.sort((a, b) => b.rank - a.rank)
  const drafts = turns.slice(0, fitted).map(
    ({ map, matched }): Draft => ({
      map,
      matched,
      explained: explains(image, chart, (x, y) => project(map, x, y)),
    }),
  )
  drafts.sort((a, b) => b.explained - a.explained)
  const found: FoundRegions[] = []
  for (const draft of drafts.slice(0, refined)) {
    if (draft.explained < promising) break
    budget.left -= cost.refined
    const one = settle(task, chart, draft, drafts)
    if (one !== undefined) found.push(one)
  }
  return found
}

/** As it is, and turned over: charts whose regions lie symmetrically are told apart by their colours alone. */
const turnsOf = ({ chart }: Constellation, map: Mat3): Mat3[] =>
  [false, true].flatMap((across) =>
    [false, true].map((down) => multiply3(map, flipped(chart.regions.size, across, down))),
  )

type At = (x: number, y: number) => readonly [number, number]

const explains = (image: WorkingImage, chart: Constellation, at: At): number =>
  fitOf(image, chart, at, regionColours(image, chart, at))

/** A first look at the colours of a few pixels tells which places are worth a better one. */
function roughly(image: WorkingImage, chart: Constellation, map: Mat3): number {
  const seen = glimpse(image, chart, (x, y) => project(map, x, y))
  return roughFit(seen, chart.tones[chart.tones.length >> 1]!)
}

function fitOf(image: WorkingImage, chart: Constellation, at: At, cells: readonly CellColour[]): number {
  let veil: { readonly over: ReturnType<typeof boardVeil> } | undefined
  const veilOver = () => {
    veil ??= { over: boardVeil(image, chart, at, cells) }
    return veil.over
  }
  return Math.max(...chart.tones.map((tones) => colourFit(cells, tones, veilOver).explained))
}

/** Refines a place on the picture, and judges it beside all others. */
function settle(
  { frame, image, finer, filtered }: RegionTask,
  chart: Constellation,
  draft: Draft,
  drafts: readonly Draft[],
): FoundRegions | undefined {
  const enlarge = 1 / image.scale
  const { size } = chart.chart.regions
  const start: ChartModel = {
    plane: multiply3(
      [
        [enlarge, 0, 0],
        [0, enlarge, 0],
        [0, 0, 1],
      ],
      draft.map,
    ),
    distortion: 0,
    middle: [frame.width / 2, frame.height / 2],
    radius: hypot(frame.width, frame.height) / 2,
  }
  const refinedOn = (picture: WorkingImage, from: ChartModel) => {
    const plain = refineRegions(picture, chart.chart, from)
    if (plain.seen >= constants.refine.wellSeen * chart.figures.length) return plain
    const median = refineRegions(filtered(picture), chart.chart, plain.model)
    return median.seen > plain.seen ? median : plain
  }
  const rough = refinedOn(image, start)
  const pitch = pitchOf(chart, rough.model)
  const picture = finer(pitch)
  const { model, seen } = picture === image ? rough : refinedOn(picture, rough.model)
  // Where noise or blur hide the outlines, flat figures in their places do as well.
  if (Math.max(seen, draft.matched) < constants.regions.leastOutlines * chart.figures.length) return undefined
  const at =
    (own: ChartModel): At =>
    (x, y) => {
      const [px, py] = applyChartModel(own, x, y)
      return [px * image.scale, py * image.scale]
    }
  const cells = regionColours(image, chart, at(model))
  if (cells.some(({ missing }) => missing)) return undefined
  const explained = fitOf(image, chart, at(model), cells)
  if (explained < constants.regions.promising) return undefined
  const here = (x: number, y: number) => at(model)(x, y)
  const [width, height] = size
  const middle = here(width / 2, height / 2)
  const far = hypot(here(width, height)[0] - here(0, 0)[0], here(width, height)[1] - here(0, 0)[1])
  let rival = 0
  for (const across of [false, true]) {
    for (const down of [false, true]) {
      if (!across && !down) continue
      const turned = (x: number, y: number) => here(across ? width - x : x, down ? height - y : y)
      rival = Math.max(rival, explains(image, chart, turned))
    }
  }
  // Other places of the same picture; the same place again, a little off, is no rival.
  for (const other of drafts) {
    const [x, y] = project(other.map, width / 2, height / 2)
    const [cx, cy] = project(other.map, 0, 0)
    const [ox, oy] = here(0, 0)
    const same = hypot(x - middle[0], y - middle[1]) < 0.1 * far && hypot(cx - ox, cy - oy) < 0.2 * far
    // Another chart of the kind elsewhere is none either.
    const apart = hypot(x - middle[0], y - middle[1]) > 0.6 * far
    if (!same && !apart) rival = Math.max(rival, other.explained)
  }
  const even = evenness(cells)
  const margin = Math.max(0, 1 - (1 - explained) / Math.max(1 - rival, 1e-9))
  const [ax, ay] = here(0, 0)
  const [bx, by] = here(width, 0)
  const [dx, dy] = here(0, height)
  const turning = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax)
  return {
    chart: chart.chart,
    model,
    confidence: { value: explained * margin * even, explained, margin, even },
    mirrored: turning < 0,
  }
}

/** Width of a patch of usual size with its gap, in frame pixels. */
function pitchOf({ chart, figures }: Constellation, model: ChartModel): number {
  const [width, height] = chart.regions.size
  const side = Math.sqrt(figures.reduce((sum, { area }) => sum + area, 0) / figures.length)
  const [ax, ay] = applyChartModel(model, width / 2, height / 2)
  const [bx, by] = applyChartModel(model, width / 2 + side, height / 2 + side)
  return hypot(bx - ax, by - ay) / Math.SQRT2
}
