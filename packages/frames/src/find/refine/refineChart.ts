import { type Chart, type GridChart, hypot, type Mat3, multiply3, type RegionChart } from '@isochip/core'
import type { Frame } from '../../frame/frame.ts'
import { homographyFromUnitSquare, type Quad } from '../../geometry/homography.ts'
import { type Corners, checkCorners } from '../../sample/area/corners.ts'
import type { ChartMap } from '../../sample/area/patchAreas.ts'
import { meanSide } from '../../sample/meanSide.ts'
import { constants } from '../constants.ts'
import { medianFilter } from '../prepare/medianFilter.ts'
import { workingImage } from '../prepare/workingImage.ts'
import { refineRegions } from '../regions/refineRegions.ts'
import { applyChartModel, type ChartModel } from './chartModel.ts'
import { refineModel } from './refineModel.ts'

/** Corners moved to where the patches' edges are. */
export interface RefinedChart {
  readonly corners: Quad
  /** Finer map of the chart, with the lens's distortion; for `sampleChart`. */
  readonly map: ChartMap
  readonly distortion: number
  /** Patches whose edges were seen. With less than a quarter of them nothing was moved. */
  readonly seen: number
  /** Distance of the patches' middles from the map, root mean square, in patch pitches. Over 0.05 the chart is bent. */
  readonly misfit: number | undefined
  /** Largest way that a corner went, in patch pitches. Over about 0.3 the corners given were poor. */
  readonly moved: number
}

/**
 * Moves corners, given by hand or by an earlier frame, so that every patch's middle lies half-way between its edges,
 * a lens's distortion of up to 20 % included. They must be right to within a third of a patch.
 *
 * @throws IsochipError `corners-invalid`
 */
export function refineChart(frame: Frame, chart: Chart, corners: Corners): RefinedChart {
  const quad = checkCorners(corners, frame)
  const plane = homographyFromUnitSquare(quad)
  // checkCorners lets no such quad through; the type cannot know.
  if (plane === undefined) throw new Error(`corners without a map: ${JSON.stringify(quad)}`)
  if (chart.regions !== undefined) return refinedRegions(frame, chart, quad, plane)
  const { pitch, patch } = chart.geometry
  const start: ChartModel = {
    plane: multiply3(plane, [
      [pitch[0], 0, patch[0] / 2],
      [0, pitch[1], patch[1] / 2],
      [0, 0, 1],
    ]),
    distortion: 0,
    middle: [frame.width / 2, frame.height / 2],
    radius: hypot(frame.width, frame.height) / 2,
  }
  const image = workingImage(frame, constants.refine.longest)
  const { model, seen, misfit } = refineModel(image, () => medianFilter(image), chart, start)
  const map = chartMapOf(chart, model)
  const refined: Quad = [map(0, 0), map(1, 0), map(1, 1), map(0, 1)]
  const cell = hypot(quad[1][0] - quad[0][0], quad[1][1] - quad[0][1]) * pitch[0]
  const moved = Math.max(...refined.map(([x, y], i) => hypot(x - quad[i]![0], y - quad[i]![1]))) / cell
  return { corners: refined, map, distortion: model.distortion, seen, misfit, moved }
}

function refinedRegions(frame: Frame, chart: RegionChart, quad: Quad, plane: Mat3): RefinedChart {
  const [width, height] = chart.regions.size
  const start: ChartModel = {
    plane: multiply3(plane, [
      [1 / width, 0, 0],
      [0, 1 / height, 0],
      [0, 0, 1],
    ]),
    distortion: 0,
    middle: [frame.width / 2, frame.height / 2],
    radius: hypot(frame.width, frame.height) / 2,
  }
  const image = workingImage(frame, constants.refine.longest)
  const plain = refineRegions(image, chart, start)
  const enough = plain.seen >= chart.patches.length / 4
  const { model, seen, misfit } = enough ? plain : { ...plain, model: start }
  const map = regionMapOf(chart, model)
  const refined: Quad = [map(0, 0), map(1, 0), map(1, 1), map(0, 1)]
  const pitch = (hypot(quad[1][0] - quad[0][0], quad[1][1] - quad[0][1]) * meanSide(chart)) / width
  return {
    corners: refined,
    map,
    distortion: model.distortion,
    seen,
    misfit: misfit === undefined ? undefined : misfit / (pitch * image.scale),
    moved: Math.max(...refined.map(([x, y], i) => hypot(x - quad[i]![0], y - quad[i]![1]))) / pitch,
  }
}

/** Fractions of a chart of regions → frame pixels, through a model of its own coordinates. */
export function regionMapOf({ regions: { size } }: RegionChart, model: ChartModel): ChartMap {
  return (across, down) => applyChartModel(model, across * size[0], down * size[1])
}

/** Chart fractions → frame pixels, through a model of patch columns and rows. */
export function chartMapOf(chart: GridChart, model: ChartModel): ChartMap {
  const { pitch, patch } = chart.geometry
  return (across, down) =>
    applyChartModel(model, (across - patch[0] / 2) / pitch[0], (down - patch[1] / 2) / pitch[1])
}
