import type { Quad } from '../geometry/homography.ts'
import { constants } from './constants.ts'
import type { WorkingImage } from './prepare/workingImage.ts'
import { regionMapOf } from './refine/refineChart.ts'
import type { Constellation } from './regions/constellation.ts'
import { findRegions } from './regions/findRegions.ts'
import { finerImage, type SearchTask } from './searchTask.ts'
import { isSure, quadArea, type Seen } from './seen.ts'

/** A chart of regions, in the picture as it is and, where noise is in the way, filtered. */
export function searchRegions(task: SearchTask, chart: Constellation): Seen[] {
  const { pictures, image, budget } = task
  if (budget.regionsEnded) return []
  const seen = searchPicture(task, image, chart)
  if (
    budget.regionsEnded ||
    seen.some(({ found }) => isSure(found.confidence)) ||
    pictures.parts(image).noise <= constants.candidates.noisy
  )
    return seen
  return [...seen, ...searchPicture(task, pictures.filteredWhole(image), chart)]
}

function searchPicture(task: SearchTask, image: WorkingImage, chart: Constellation): Seen[] {
  const { pictures } = task
  // Each picture has its share: a busy one leaves something for the next.
  const share = Math.min(constants.regions.budget.look, task.budget.regions, Math.max(0, task.budget.whole))
  const budget = { left: share }
  const places = findRegions(
    {
      frame: pictures.frame,
      image,
      blobs: pictures.blobs(image),
      finer: (pitch) => finerImage(task, pitch),
      filtered: (picture) => pictures.filteredWhole(picture),
      budget,
    },
    chart,
  )
  task.budget.regions -= share - budget.left
  return places.map((one): Seen => {
    const map = regionMapOf(one.chart, one.model)
    const corners: Quad = [map(0, 0), map(1, 0), map(1, 1), map(0, 1)]
    return {
      found: {
        chart: one.chart,
        corners,
        map,
        confidence: one.confidence,
        distortion: one.model.distortion,
      },
      mirrored: one.mirrored,
      area: quadArea(corners),
    }
  })
}
