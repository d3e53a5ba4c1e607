import { type Chart, IsochipError, isGrid, isIsochipError } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { mapQuad, type Point } from '../geometry/homography.ts'
import { Budget } from './budget.ts'
import { constants } from './constants.ts'
import { lookIn } from './lookIn.ts'
import { enlargedFrame } from './prepare/enlargedFrame.ts'
import { type FindResult, type FoundChart, quadArea } from './seen.ts'

export type { Confidence } from './place/judgePlacement.ts'
export type { FindResult, FoundChart } from './seen.ts'

export interface FindOptions {
  /** Called before each look at the frame, which may take a second: the number of it, and of them at most. */
  readonly onLook?: (look: number, most: number) => void
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
