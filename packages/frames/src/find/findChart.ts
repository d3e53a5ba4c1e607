import { type Chart, hypot, IsochipError, isGrid, isIsochipError } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { mapQuad, type Point, type Quad } from '../geometry/homography.ts'
import { meanSide } from '../sample/meanSide.ts'
import { Budget } from './budget.ts'
import { constants } from './constants.ts'
import { Pictures } from './pictures.ts'
import type { ChartCandidate } from './place/placements.ts'
import { referenceColours } from './place/referenceColours.ts'
import { referenceTones } from './place/referenceTones.ts'
import { enlargedFrame } from './prepare/enlargedFrame.ts'
import { constellation } from './regions/constellation.ts'
import { searchGrids } from './searchGrids.ts'
import { searchRegions } from './searchRegions.ts'
import { apart, type FoundChart, isSure, quadArea, type Seen } from './seen.ts'

export type { Confidence } from './place/judgePlacement.ts'
export type { FoundChart } from './seen.ts'

export interface FindResult extends FoundChart {
  /** Other charts in the same frame, smaller than the one returned. */
  readonly others: readonly FoundChart[]
}

export interface FindOptions {
  /** Called before each look at the frame, which may take a second: the number of it, and of them at most. */
  readonly onLook?: (look: number, most: number) => void
}

const hint = 'give the corners of its patch grid, or shoot it larger, flatter, sharper and without glare'

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
export function findChart(frame: Frame, charts: readonly Chart[], { onLook }: FindOptions = {}): FindResult {
  const { below, factor, leastPatch } = constants.enlarged
  const small = Math.max(frame.width, frame.height) <= below
  const looks = looksAt(frame)
  const more = small ? looksAt({ width: frame.width * factor, height: frame.height * factor }) : 0
  let look = 0
  const next = () => onLook?.(++look, looks + more)
  const budget = new Budget()
  const found = lookIn(frame, charts, budget, next)
  if (!(found instanceof IsochipError)) return found
  if (!small) throw found
  const larger = findIn(enlargedFrame(frame, factor), charts, new Budget(budget.whole), next)
  if (larger === undefined) throw found
  const { others, ...first } = larger
  const large = (one: FoundChart) => patchSide(one) >= leastPatch
  const chart = reduced(first, factor)
  if (!large(chart)) throw found
  return { ...chart, others: others.map((one) => reduced(one, factor)).filter(large) }
}

/** Sizes that a frame may be looked at in. A small one is itself at several. */
const looksAt = ({ width, height }: Pick<Frame, 'width' | 'height'>) =>
  new Set(constants.passes.longest.map((longest) => Math.min(longest, Math.max(width, height)))).size

/** A chart where one is sure; why there is none otherwise is known of the frame as it is. */
function findIn(
  frame: Frame,
  charts: readonly Chart[],
  budget: Budget,
  next: () => void,
): FindResult | undefined {
  try {
    const found = lookIn(frame, charts, budget, next)
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
function lookIn(
  frame: Frame,
  charts: readonly Chart[],
  budget: Budget,
  next: () => void,
): FindResult | IsochipError {
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
  const pictures = new Pictures(frame, budget)
  let doubtful: Seen | undefined
  let mostNoise = 0
  const { passes } = constants
  const searched = new Set<number>()
  for (const [pass, longest] of passes.longest.entries()) {
    // A small frame is itself at several sizes.
    const size = Math.min(longest, Math.max(frame.width, frame.height))
    if (searched.has(size) || mostNoise < passes.noise[pass]!) continue
    const ended = budget.gridsEnded
    if (ended && (constellations.length === 0 || budget.regionsEnded)) break
    searched.add(size)
    next()
    const before = budget.left
    const image = pictures.sized(longest)
    // The passes have to be; what is made finer is a choice.
    budget.picture(before - budget.left)
    budget.left = before
    mostNoise = Math.max(mostNoise, pictures.parts(image).noise)
    const task = { pictures, image, candidates, budget }
    const grids = candidates.length === 0 || ended ? [] : searchGrids(task)
    // Where a grid is found, that is the chart, and nothing else is looked for.
    const seen = grids.some(({ found }) => isSure(found.confidence))
      ? grids
      : apart([...grids, ...constellations.flatMap((chart) => searchRegions(task, chart))])
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
    !budget.gridsEnded && !budget.full
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
