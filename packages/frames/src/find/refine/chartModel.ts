import type { Mat3 } from '@isochip/core'
import { fitHomography } from '../../geometry/fitHomography.ts'
import { type Point, project } from '../../geometry/homography.ts'
import { constants } from '../constants.ts'

/**
 * Patch columns and rows → frame pixels: a plane seen through a lens. The picture of a pinhole, moved along the rays
 * from the frame's middle by the factor 1 + k·r², r being 1 at the frame's corners.
 */
export interface ChartModel {
  /** Column and row of a patch's middle, counted from 0 → pixels of a pinhole. */
  readonly plane: Mat3
  /** Coefficient of radial distortion; positive moves outwards. 0 for a pinhole. */
  readonly distortion: number
  /** The middle of the frame, and half its diagonal. */
  readonly middle: Point
  readonly radius: number
}

export function applyChartModel(model: ChartModel, column: number, row: number): Point {
  return distort(model, project(model.plane, column, row))
}

function distort({ distortion, middle, radius }: Omit<ChartModel, 'plane'>, [x, y]: Point): Point {
  if (distortion === 0) return [x, y]
  const dx = x - middle[0]
  const dy = y - middle[1]
  const factor = 1 + (distortion * (dx * dx + dy * dy)) / radius ** 2
  return [middle[0] + factor * dx, middle[1] + factor * dy]
}

function undistort(lens: Omit<ChartModel, 'plane'>, point: Point): Point {
  let guess = point
  // The map is near the identity: every round gains a factor of about 3·k, so ten leave nothing at |k| ≤ 0.2.
  for (let round = 0; round < 10 && lens.distortion !== 0; round++) {
    const [x, y] = distort(lens, guess)
    guess = [guess[0] + point[0] - x, guess[1] + point[1] - y]
  }
  return guess
}

/**
 * The model that takes cells to points best. Distortion is only taken on where it makes the misfit clearly smaller:
 * a small chart cannot tell it from perspective.
 */
export function fitChartModel(
  cells: readonly Point[],
  points: readonly Point[],
  weights: readonly number[],
  lens: { readonly middle: Point; readonly radius: number },
): ChartModel | undefined {
  const { strongestLens, lensPatches, lensGain, lensRounds } = constants.refine
  const attempt = (distortion: number) => {
    const model = { ...lens, distortion }
    const plane = fitHomography(
      cells,
      points.map((point) => undistort(model, point)),
      weights,
    )
    if (plane === undefined) return undefined
    const whole: ChartModel = { ...model, plane }
    let cost = 0
    points.forEach((point, k) => {
      const [x, y] = applyChartModel(whole, cells[k]![0], cells[k]![1])
      cost += weights[k]! * ((x - point[0]) ** 2 + (y - point[1]) ** 2)
    })
    return { model: whole, cost }
  }
  const plain = attempt(0)
  if (plain === undefined) return undefined
  if (points.length < lensPatches) return plain.model
  let low = -strongestLens
  let high = strongestLens
  const golden = (Math.sqrt(5) - 1) / 2
  const cost = (k: number) => attempt(k)?.cost ?? Number.POSITIVE_INFINITY
  // Of the two places of a round one is a place of the next.
  let [a, b] = [high - golden * (high - low), low + golden * (high - low)]
  let [costA, costB] = [cost(a), cost(b)]
  for (let round = 1; round < lensRounds; round++) {
    if (costA < costB) {
      high = b
      b = a
      costB = costA
      a = high - golden * (high - low)
      costA = cost(a)
    } else {
      low = a
      a = b
      costA = costB
      b = low + golden * (high - low)
      costB = cost(b)
    }
  }
  if (costA < costB) high = b
  else low = a
  const best = attempt((low + high) / 2)
  return best !== undefined && best.cost < lensGain * plain.cost ? best.model : plain.model
}
