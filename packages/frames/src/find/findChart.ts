import {
  type Chart,
  type GridChart,
  hypot,
  IsochipError,
  isGrid,
  isIsochipError,
  multiply3,
} from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { mapQuad, type Point, type Quad } from '../geometry/homography.ts'
import type { ChartMap } from '../sample/area/patchAreas.ts'
import { meanSide } from '../sample/meanSide.ts'
import { findLattices, type Lattice } from './candidates/lattice.ts'
import { noiseGradient, type PatchCandidate, patchCandidates } from './candidates/patchCandidates.ts'
import { constants } from './constants.ts'
import { cellColours } from './place/cellColours.ts'
import { type Confidence, judgePlacement, modelColours } from './place/judgePlacement.ts'
import { type ChartCandidate, type Placement, placements } from './place/placements.ts'
import { referenceColours } from './place/referenceColours.ts'
import { referenceTones } from './place/referenceTones.ts'
import { enlargedFrame } from './prepare/enlargedFrame.ts'
import { gradientMap } from './prepare/gradientMap.ts'
import { medianFilter } from './prepare/medianFilter.ts'
import { type WorkingImage, workingImage } from './prepare/workingImage.ts'
import { applyChartModel, type ChartModel } from './refine/chartModel.ts'
import { chartMapOf, regionMapOf } from './refine/refineChart.ts'
import { refineModel } from './refine/refineModel.ts'
import { blobsOf } from './regions/blobs.ts'
import { type Constellation, constellation } from './regions/constellation.ts'
import { findRegions } from './regions/findRegions.ts'

export type { Confidence } from './place/judgePlacement.ts'

/** A chart found in a frame. */
export interface FoundChart {
  readonly chart: Chart
  /** Outer corners of the patch grid in frame pixels, clockwise from the corner of the first patch. */
  readonly corners: Quad
  /** Finer map of the chart, with the lens's distortion; for `sampleChart`. */
  readonly map: ChartMap
  readonly confidence: Confidence
  /** Radial distortion of the lens as the chart shows it: 0.01 moves the frame's corners outwards by 1 %. */
  readonly distortion: number
}

export interface FindResult extends FoundChart {
  /** Other charts in the same frame, smaller than the one returned. */
  readonly others: readonly FoundChart[]
}

const hint = 'give the corners of its patch grid, or shoot it larger, flatter, sharper and without glare'

/** What is searched, and for what. */
interface Task {
  readonly frame: Frame
  readonly image: WorkingImage
  /** The frame at other sizes, by the longest side; each is made once. */
  readonly sized: (longest: number) => WorkingImage
  /** An image filtered; each is made once. */
  readonly filtered: (image: WorkingImage) => WorkingImage
  readonly candidates: readonly ChartCandidate[]
  readonly budget: Budget
}

/** What may still be spent on a frame; see `constants.budget`. */
interface Budget {
  left: number
  growing: number
  /** For charts of regions. */
  regions: number
  /** There was more than is looked at. */
  full: boolean
}

interface Seen {
  readonly found: FoundChart
  readonly mirrored: boolean
  /** Area of the grid in square pixels. */
  readonly area: number
}

/**
 * Finds a chart: whichever of `charts` lies largest in the frame, at any turn, to 40° of slant, in any light.
 *
 * It looks for even four-sided figures that stand in rows and columns, and asks of every chart, place and turn
 * whether the reference values explain the colours, up to exposure, white balance, contrast and crosstalk. A place
 * is only returned when it explains nearly all and clearly more than any other; otherwise the answer is that it is
 * not known.
 *
 * @throws IsochipError `chart-not-found`: none seen, none sure enough, or one seen in a mirror
 */
export function findChart(frame: Frame, charts: readonly Chart[]): FindResult {
  const found = lookIn(frame, charts)
  if (!(found instanceof IsochipError)) return found
  const { below, factor, leastPatch } = constants.enlarged
  if (Math.max(frame.width, frame.height) > below) throw found
  const larger = findIn(enlargedFrame(frame, factor), charts)
  if (larger === undefined) throw found
  const { others, ...first } = larger
  const large = (one: FoundChart) => patchSide(one) >= leastPatch
  const chart = reduced(first, factor)
  if (!large(chart)) throw found
  return { ...chart, others: others.map((one) => reduced(one, factor)).filter(large) }
}

/** A chart where one is sure; why there is none otherwise is known of the frame as it is. */
function findIn(frame: Frame, charts: readonly Chart[]): FindResult | undefined {
  try {
    const found = lookIn(frame, charts)
    return found instanceof IsochipError ? undefined : found
  } catch (fault) {
    if (isIsochipError(fault)) return undefined
    throw fault
  }
}

/** Mean side of a patch of a grid, pixels. */
function patchSide({ chart, corners }: FoundChart): number {
  if (!isGrid(chart)) return Number.POSITIVE_INFINITY
  const { patch } = chart.geometry
  return Math.sqrt(quadArea(corners) * patch[0] * patch[1])
}

/** In the pixels of the frame as it was. */
function reduced({ corners, map, ...rest }: FoundChart, factor: number): FoundChart {
  const smaller = ([x, y]: Point): Point => [x / factor, y / factor]
  return { ...rest, corners: mapQuad(corners, smaller), map: (across, down) => smaller(map(across, down)) }
}

/**
 * @returns the fault where nothing was found for sure
 * @throws IsochipError `chart-not-found` where a chart is surely there and cannot be read
 */
function lookIn(frame: Frame, charts: readonly Chart[]): FindResult | IsochipError {
  const place = frame.file === undefined ? {} : { file: frame.file }
  const candidates = charts.filter(isGrid).flatMap((chart): ChartCandidate[] => {
    const colours = referenceColours(chart)
    return colours === undefined ? [] : [{ chart, tones: referenceTones(colours) }]
  })
  const constellations = charts.flatMap((chart) => {
    const known = isGrid(chart) ? undefined : constellation(chart)
    return known === undefined ? [] : [known]
  })
  const names = charts.map((chart) => chart.id).join(' or ')
  if (candidates.length + constellations.length === 0)
    throw new IsochipError(
      'chart-not-found',
      `${names} has no reference values for every patch, so it cannot be told by its colours`,
      { hint: 'give the corners of its patch grid, or reference values in the chart file', place },
    )
  const budget: Budget = {
    left: constants.budget.total,
    growing: constants.budget.growing,
    regions: constants.regions.budget.total,
    full: false,
  }
  const made = new Map<number, WorkingImage>()
  const sized = (longest: number) => {
    const known = made.get(longest)
    if (known !== undefined) return known
    const image = workingImage(frame, longest)
    made.set(longest, image)
    const cost = constants.budget
    budget.left -=
      1e-6 * (cost.frameMegapixel * frame.width * frame.height + cost.megapixel * image.width * image.height)
    return image
  }
  const calm = new Map<WorkingImage, WorkingImage>()
  const filtered = (image: WorkingImage) => {
    const done = calm.get(image) ?? medianFilter(image)
    calm.set(image, done)
    return done
  }
  let doubtful: Seen | undefined
  let mostNoise = 0
  const { passes } = constants
  const searched = new Set<number>()
  for (const [pass, longest] of passes.longest.entries()) {
    // A small frame is itself at several sizes.
    const size = Math.min(longest, Math.max(frame.width, frame.height))
    if (searched.has(size) || mostNoise < passes.noise[pass]!) continue
    const ended = budget.left <= 0 || budget.growing <= 0
    if (ended && (constellations.length === 0 || budget.regions <= 0)) break
    searched.add(size)
    const before = budget.left
    const image = sized(longest)
    // The passes have to be; what is made finer is a choice.
    budget.left = before
    const gradient = gradientMap(image)
    mostNoise = Math.max(mostNoise, noiseGradient(gradient))
    const task = { frame, image, sized, filtered, candidates, budget }
    const grids = candidates.length === 0 || ended ? [] : search(task, gradient)
    // Where a grid is found, that is the chart, and nothing else is looked for.
    const seen = grids.some(({ found }) => isSure(found.confidence))
      ? grids
      : apart([...grids, ...constellations.flatMap((chart) => searchRegions(task, gradient, chart))])
    const sure = seen.filter(({ found }) => isSure(found.confidence)).sort((a, b) => b.area - a.area)
    const [first] = sure
    if (first?.mirrored)
      throw new IsochipError(
        'chart-not-found',
        `${first.found.chart.id} is in the frame as in a mirror, at ${cornerText(first.found.corners)}`,
        { hint: 'the picture was flipped on its way here: deliver it as shot', place },
      )
    if (first !== undefined) {
      if (!insideFrame(first.found, frame))
        throw new IsochipError(
          'chart-not-found',
          `${first.found.chart.id} reaches out of the frame, at ${cornerText(first.found.corners)}`,
          { hint: 'the whole patch grid must be in the frame: shoot the chart smaller', place },
        )
      const others = sure.slice(1).filter((one) => !one.mirrored && insideFrame(one.found, frame))
      return {
        ...withinFrame(first.found, frame),
        others: others.map((one) => withinFrame(one.found, frame)),
      }
    }
    for (const one of seen)
      if (doubtful === undefined || one.found.confidence.value > doubtful.found.confidence.value)
        doubtful = one
  }
  if (doubtful !== undefined && doubtful.found.confidence.explained > constants.sure.doubtful) {
    const { chart, corners, confidence } = doubtful.found
    return new IsochipError(
      'chart-not-found',
      `${names} was not found for sure: at ${cornerText(corners)} something is like ${chart.id}, but confidence is ` +
        `${confidence.value.toFixed(2)} where ${constants.sure.value} is needed`,
      { hint, place },
    )
  }
  const ended =
    budget.left > 0 && budget.growing > 0 && !budget.full
      ? ''
      : ', which is full of things in rows and columns: the search was ended'
  return new IsochipError('chart-not-found', `${names} was not found in the frame${ended}`, { hint, place })
}

const cornerText = (corners: Quad) =>
  corners.map(([x, y]) => `[${Math.round(x)}, ${Math.round(y)}]`).join(', ')

function insideFrame({ corners, chart }: FoundChart, { width, height }: Frame): boolean {
  const [a, b, c, d] = corners
  const across = (hypot(b[0] - a[0], b[1] - a[1]) + hypot(c[0] - d[0], c[1] - d[1])) / 2
  const patch = isGrid(chart) ? chart.geometry.patch[0] : meanSide(chart) / chart.regions.size[0]
  const slack = constants.sure.outside * patch * across
  return corners.every(([x, y]) => x >= -slack && y >= -slack && x <= width + slack && y <= height + slack)
}

/** Corners that lie out of the frame by no more than their uncertainty are put on its edge; the map stays as it is. */
function withinFrame(found: FoundChart, { width, height }: Frame): FoundChart {
  const corners = mapQuad(found.corners, ([x, y]) => [
    Math.max(0, Math.min(width, x)),
    Math.max(0, Math.min(height, y)),
  ])
  return { ...found, corners }
}

const isSure = (confidence: Confidence) =>
  (['value', 'explained', 'margin', 'even'] as const).every(
    (share) => confidence[share] >= constants.sure[share],
  )

function search(task: Task, gradient: Float32Array): Seen[] {
  const { image } = task
  const seen: Seen[] = []
  const searchChips = (all: readonly PatchCandidate[]) => {
    const { chips: most } = constants.budget
    const chips = all.length > most ? [...all].sort((a, b) => b.area - a.area).slice(0, most) : all
    if (all.length > most) task.budget.full = true
    const done = new Set<string>()
    for (const far of constants.lattice.strayed) {
      for (const lattice of findLattices(chips, far, task.budget).slice(0, constants.lattice.most)) {
        // Most lattices hold the same chips, however little these may stray.
        const held = lattice.members
          .map(({ chip }) => chips.indexOf(chip))
          .sort((a, b) => a - b)
          .join()
        if (done.has(held) || task.budget.left <= 0) continue
        done.add(held)
        const one = bestOnLattice(task, lattice)
        if (one !== undefined) seen.push(one)
      }
      if (seen.some(({ found }) => isSure(found.confidence))) return true
    }
    return false
  }
  if (
    !searchChips(patchCandidates(image, gradient)) &&
    noiseGradient(gradient) > constants.candidates.noisy
  ) {
    const calm = task.filtered(image)
    calm.need?.(0, 0, calm.width, calm.height)
    searchChips(patchCandidates(calm, gradientMap(calm)))
  }
  return apart(seen)
}

/** What lies about the same middle is one thing: a grid behind the chart may pass for a poor chart. */
function apart(seen: Seen[]): Seen[] {
  seen.sort((a, b) => b.found.confidence.value - a.found.confidence.value)
  return seen.filter(
    (one, i) => !seen.slice(0, i).some((other) => overlap(one.found.corners, other.found.corners)),
  )
}

/** A chart of regions, in the picture as it is and, where noise is in the way, filtered. */
function searchRegions(task: Task, gradient: Float32Array, chart: Constellation): Seen[] {
  const { frame, image } = task
  const finer = (pitch: number) => finerImage(task, pitch)
  const whole = (picture: WorkingImage) => {
    picture.need?.(0, 0, picture.width, picture.height)
    return picture
  }
  const filtered = (picture: WorkingImage) => whole(task.filtered(picture))
  const look = (picture: WorkingImage, edges: Float32Array) => {
    // Each picture has its share: a busy one leaves something for the next.
    const share = Math.min(constants.regions.budget.look, task.budget.regions)
    const budget = { left: share }
    const blobs = blobsOf(picture, edges)
    const places = findRegions({ frame, image: picture, blobs, finer, filtered, budget }, chart)
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
  const seen = look(image, gradient)
  if (
    seen.some(({ found }) => isSure(found.confidence)) ||
    noiseGradient(gradient) <= constants.candidates.noisy
  )
    return seen
  const calm = filtered(image)
  return [...seen, ...look(calm, gradientMap(calm))]
}

/** Do the middles of two quads lie within each other's size? */
function overlap(a: Quad, b: Quad): boolean {
  const middle = (quad: Quad): Point => [
    quad.reduce((s, p) => s + p[0], 0) / 4,
    quad.reduce((s, p) => s + p[1], 0) / 4,
  ]
  const [ax, ay] = middle(a)
  const [bx, by] = middle(b)
  const radius = Math.min(...[a, b].map((quad) => hypot(quad[0][0] - quad[2][0], quad[0][1] - quad[2][1])))
  return hypot(ax - bx, ay - by) < constants.sure.overlap * radius
}

function bestOnLattice(task: Task, lattice: Lattice): Seen | undefined {
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
    if (placement.explained < refined || budget.left <= 0) continue
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
  task: Task,
  lattice: Lattice,
  placement: Placement,
  candidate: ChartCandidate,
): Seen | undefined {
  const { frame, image, candidates } = task
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
  const judged = (model: ChartModel) =>
    judgePlacement(candidate, candidates, model, modelColours(image, model))
  let { model } = refineModel(image, () => task.filtered(image), chart, start)
  let verdict = judged(model)
  if (verdict !== undefined && verdict.confidence.explained > constants.refine.promising) {
    model = settledModel(task, finerImage(task, pitchOf(model)), chart, model)
    verdict = judged(model)
  }
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
function settledModel(task: Task, image: WorkingImage, chart: GridChart, start: ChartModel): ChartModel {
  const filtered = () => task.filtered(image)
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

/** The picture at a size that shows the edges of a small chart well, as far as the frame goes. */
function finerImage({ frame, image, sized }: Task, pixels: number): WorkingImage {
  const { pitch: finePitch, finest, leastFiner, sizeStep } = constants.refine
  const pitch = pixels * image.scale
  const longest = Math.max(frame.width, frame.height) * image.scale
  const wanted = longest * Math.min(finest, finePitch / pitch)
  return image.scale === 1 || wanted < leastFiner * longest
    ? image
    : sized(sizeStep * Math.ceil(wanted / sizeStep))
}

function quadArea([a, b, c, d]: Quad): number {
  return Math.abs((c[0] - a[0]) * (d[1] - b[1]) - (c[1] - a[1]) * (d[0] - b[0])) / 2
}
