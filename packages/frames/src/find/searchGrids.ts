import { type GridChart, hypot, multiply3 } from '@isochip/core'
import type { Quad } from '../geometry/homography.ts'
import { findLattices, type Lattice } from './candidates/lattice.ts'
import type { PatchCandidate } from './candidates/patchCandidates.ts'
import { constants } from './constants.ts'
import { cellColours } from './place/cellColours.ts'
import { judgePlacement, modelColours } from './place/judgePlacement.ts'
import { type ChartCandidate, explainedHere, type Placement, placements } from './place/placements.ts'
import type { WorkingImage } from './prepare/workingImage.ts'
import { applyChartModel, type ChartModel } from './refine/chartModel.ts'
import { chartMapOf } from './refine/refineChart.ts'
import { refineModel } from './refine/refineModel.ts'
import { finerImage, type SearchTask } from './searchTask.ts'
import { apart, isSure, quadArea, type Seen } from './seen.ts'

/** Charts that are grids, in a picture as it is and, where noise is in the way, filtered. */
export function searchGrids(task: SearchTask): Seen[] {
  const { image, pictures, budget } = task
  const seen: Seen[] = []
  const found = searchCandidates(task, pictures.candidates(image), seen)
  if (!found && !budget.gridsEnded && pictures.parts(image).noise > constants.candidates.noisy)
    searchCandidates(task, pictures.candidates(pictures.filteredWhole(image)), seen)
  return apart(seen)
}

/** @returns whether a chart was found for sure */
function searchCandidates(task: SearchTask, all: readonly PatchCandidate[], seen: Seen[]): boolean {
  const { candidates: most } = constants.budget
  const candidates = all.length > most ? [...all].sort((a, b) => b.area - a.area).slice(0, most) : all
  if (all.length > most) task.budget.full = true
  const place = new Map(candidates.map((candidate, k) => [candidate, k]))
  const done = new Set<string>()
  for (const far of constants.lattice.strayed) {
    for (const lattice of findLattices(candidates, far, task.budget).slice(0, constants.lattice.most)) {
      // Most lattices hold the same candidates, however little these may stray.
      const held = lattice.members
        .map(({ candidate }) => place.get(candidate)!)
        .sort((a, b) => a - b)
        .join()
      if (done.has(held) || task.budget.gridsEnded) continue
      done.add(held)
      const one = bestOnLattice(task, lattice)
      if (one !== undefined) seen.push(one)
    }
    if (seen.some(({ found }) => isSure(found.confidence))) return true
  }
  return false
}

function bestOnLattice(task: SearchTask, lattice: Lattice): Seen | undefined {
  const { image, candidates, budget } = task
  const { refinedByWhole, refinedByBest, refined, beyondDoubt } = constants.placement
  const cost = constants.budget
  budget.left -= cost.lattice + cost.member * lattice.members.length
  const cell = cellColours(image, lattice.map)
  const all = candidates.flatMap((candidate) =>
    placements(lattice, candidate, cell, false).map((placement) => ({ placement, candidate })),
  )
  const first = (of: 'whole' | 'explained', count: number) =>
    [...all].sort((a, b) => b.placement[of] - a.placement[of]).slice(0, count)
  // Under a lamp's mirror image the right place may explain little of the whole, but most of what is left.
  const rough = new Set([...first('whole', refinedByWhole), ...first('explained', refinedByBest)])
  let best: Seen | undefined
  for (const { placement, candidate } of rough) {
    if (placement.explained < refined || budget.left <= 0 || budget.whole <= 0) continue
    // Each was judged beside all others: what is so sure needs no further trial.
    if (best !== undefined && best.found.confidence.value > beyondDoubt) break
    budget.left -= cost.refined
    const seen = settle(task, lattice, placement, candidate)
    if (
      seen !== undefined &&
      !(best !== undefined && best.found.confidence.value >= seen.found.confidence.value)
    )
      best = seen
  }
  return best
}

/** Refines a placement on the picture, and scores it against all others on the refined lattice. */
function settle(
  task: SearchTask,
  lattice: Lattice,
  placement: Placement,
  candidate: ChartCandidate,
): Seen | undefined {
  const { pictures, image, candidates } = task
  const { frame } = pictures
  const { chart } = placement
  const { origin, across, down } = placement
  const enlarge = 1 / image.scale
  const start: ChartModel = {
    plane: multiply3(
      [
        [enlarge, 0, 0],
        [0, enlarge, 0],
        [0, 0, 1],
      ],
      multiply3(lattice.map, [
        [across[0], down[0], origin[0]],
        [across[1], down[1], origin[1]],
        [0, 0, 1],
      ]),
    ),
    distortion: 0,
    middle: [frame.width / 2, frame.height / 2],
    radius: hypot(frame.width, frame.height) / 2,
  }
  let { model } = refineModel(image, () => task.pictures.filtered(image), chart, start)
  const explained = explainedHere(model.plane, candidate, modelColours(image, model))
  if (explained !== undefined && explained > constants.refine.promising) {
    task.budget.left -= constants.budget.settled
    const finer = finerImage(task, pitchOf(model), (longest) => pictures.inParts(longest, image))
    model = settledModel(task, finer, chart, model)
  }
  const verdict = judgePlacement(candidate, candidates, model, modelColours(image, model))
  if (verdict === undefined) return undefined
  const map = chartMapOf(chart, model)
  const corners: Quad = [map(0, 0), map(1, 0), map(1, 1), map(0, 1)]
  return {
    found: { chart, corners, map, confidence: verdict.confidence, distortion: model.distortion },
    mirrored: verdict.mirrored,
    area: quadArea(corners),
  }
}

/** Refines until nothing moves: from a poor start one go takes the model only most of the way. */
function settledModel(
  task: SearchTask,
  image: WorkingImage,
  chart: GridChart,
  start: ChartModel,
): ChartModel {
  const filtered = () => task.pictures.filtered(image)
  let model = start
  for (let round = 0; round < constants.refine.rounds; round++) {
    const before = model
    model = refineModel(image, filtered, chart, before).model
    const moved = [0, chart.columns - 1].flatMap((column) =>
      [0, chart.rows - 1].map((row) => {
        const [x, y] = applyChartModel(before, column, row)
        const [nx, ny] = applyChartModel(model, column, row)
        return hypot(nx - x, ny - y)
      }),
    )
    const [ax, ay] = applyChartModel(model, 0, 0)
    const [bx, by] = applyChartModel(model, 1, 1)
    if (Math.max(...moved) < (constants.refine.settled * hypot(bx - ax, by - ay)) / Math.SQRT2) break
  }
  return model
}

/** Distance of neighbouring patches, frame pixels. */
function pitchOf(model: ChartModel): number {
  const [ax, ay] = applyChartModel(model, 0, 0)
  const [bx, by] = applyChartModel(model, 1, 1)
  return hypot(bx - ax, by - ay) / Math.SQRT2
}
