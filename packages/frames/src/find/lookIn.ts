import { type Chart, given, hypot, IsochipError, isGrid } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { mapQuad, type Quad } from '../geometry/homography.ts'
import { meanSide } from '../sample/meanSide.ts'
import type { Budget } from './budget.ts'
import { constants } from './constants.ts'
import { Pictures } from './pictures.ts'
import type { ChartCandidate } from './place/placements.ts'
import { referenceColours } from './place/referenceColours.ts'
import { referenceTones } from './place/referenceTones.ts'
import { constellation } from './regions/constellation.ts'
import { searchGrids } from './searchGrids.ts'
import { searchRegions } from './searchRegions.ts'
import { apart, type FindResult, type FoundChart, isSure, type Seen } from './seen.ts'

const hint = 'give the corners of its patch grid, or shoot it larger, flatter, sharper and without glare'

/**
 * Looks for charts in a frame as it is, at several sizes.
 *
 * @param budget what may be spent; less is left afterwards
 * @param next called before each look
 * @returns the fault where nothing was found for sure
 * @throws IsochipError `chart-not-found` where a chart is surely there and cannot be read
 */
export function lookIn(
  frame: Frame,
  charts: readonly Chart[],
  budget: Budget,
  next: () => void,
): FindResult | IsochipError {
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
      {
        hint: 'give the corners of its patch grid, or reference values in the chart file',
        place: placeOf(frame),
      },
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
    const found = surest(seen, frame)
    if (found !== undefined) return found
    for (const one of seen)
      if (doubtful === undefined || one.found.confidence.value > doubtful.found.confidence.value)
        doubtful = one
  }
  return notFound(names, doubtful, budget, frame)
}

/**
 * The largest of the charts that are sure, with the others; `undefined` where none is.
 *
 * @throws IsochipError `chart-not-found` where it cannot be read
 */
function surest(seen: readonly Seen[], frame: Frame): FindResult | undefined {
  const sure = seen.filter(({ found }) => isSure(found.confidence)).sort((a, b) => b.area - a.area)
  const [first, ...rest] = sure
  if (first === undefined) return undefined
  const { chart, corners } = first.found
  const unreadable = (how: string, what: string) =>
    new IsochipError('chart-not-found', `${chart.id} ${how}, at ${cornerText(corners)}`, {
      hint: what,
      place: placeOf(frame),
    })
  if (first.mirrored)
    throw unreadable(
      'is in the frame as in a mirror',
      'the picture was flipped on its way here: deliver it as shot',
    )
  if (!insideFrame(first.found, frame))
    throw unreadable(
      'reaches out of the frame',
      'the whole patch grid must be in the frame: shoot the chart smaller',
    )
  const others = rest.filter((one) => !one.mirrored && insideFrame(one.found, frame))
  return { ...withinFrame(first.found, frame), others: others.map((one) => withinFrame(one.found, frame)) }
}

/** Why there is none: what was likest one, if anything, or that the search was ended. */
function notFound(names: string, likest: Seen | undefined, budget: Budget, frame: Frame): IsochipError {
  const place = placeOf(frame)
  if (likest !== undefined && likest.found.confidence.explained > constants.sure.doubtful) {
    const { chart, corners, confidence } = likest.found
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

const placeOf = ({ file }: Frame) => given({ file })

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
