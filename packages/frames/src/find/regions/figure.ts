import { type RegionChart, regionOf } from '@isochip/core'
import type { Point } from '../../geometry/homography.ts'

/** A symmetric 2 × 2 matrix: xx, xy, yy. */
type Symmetric = readonly [xx: number, xy: number, yy: number]

/** A flat figure of any shape by its moments: up to a turn, what an affine map makes of it is known. */
export interface Figure {
  readonly centre: Point
  readonly area: number
  /** Square root of the covariance of its points, and its inverse. */
  readonly spread: Symmetric
  readonly whiten: Symmetric
}

/** A circle's covariance is r²/4 in all directions. */
const circleSpread = 0.5

/** @param grow what is added at every side: flat regions end before the edge that is about them */
export function figureOfPolygon(polygon: readonly Point[], grow = 0): Figure | undefined {
  const [ox, oy] = polygon[0] ?? [0, 0]
  let twice = 0
  let [mx, my, xx, xy, yy] = [0, 0, 0, 0, 0]
  for (let k = 0; k < polygon.length; k++) {
    const [px, py] = polygon[k]!
    const [qx, qy] = polygon[(k + 1) % polygon.length]!
    const [ax, ay, bx, by] = [px - ox, py - oy, qx - ox, qy - oy]
    const cross = ax * by - bx * ay
    twice += cross
    mx += cross * (ax + bx)
    my += cross * (ay + by)
    xx += cross * (ax * ax + ax * bx + bx * bx)
    yy += cross * (ay * ay + ay * by + by * by)
    xy += cross * (ax * by + 2 * ax * ay + 2 * bx * by + bx * ay)
  }
  if (!(Math.abs(twice) > 0)) return undefined
  const [cx, cy] = [mx / (3 * twice), my / (3 * twice)]
  const covariance: Symmetric = [
    xx / (6 * twice) - cx * cx,
    xy / (12 * twice) - cx * cy,
    yy / (6 * twice) - cy * cy,
  ]
  const plain = root(covariance)
  if (plain === undefined) return undefined
  const spread: Symmetric = [plain[0] + circleSpread * grow, plain[1], plain[2] + circleSpread * grow]
  const ratio = determinant(spread) / determinant(plain)
  const whiten = inverse(spread)
  return { centre: [ox + cx, oy + cy], area: (Math.abs(twice) / 2) * ratio, spread, whiten }
}

/** The figures of a chart's regions, in its own coordinates. */
export function figuresOfChart(chart: RegionChart): readonly Figure[] {
  return chart.patches.map((_, k): Figure => {
    const region = regionOf(chart, k)
    if ('circle' in region) {
      const { centre, radius } = region.circle
      const half = circleSpread * radius
      return {
        centre,
        area: Math.PI * radius ** 2,
        spread: [half, 0, half],
        whiten: [1 / half, 0, 1 / half],
      }
    }
    const figure = figureOfPolygon(region.polygon)
    if (figure === undefined) throw new RangeError(`patch ${k} of chart ${chart.id} has no area`)
    return figure
  })
}

const determinant = ([xx, xy, yy]: Symmetric) => xx * yy - xy * xy

function inverse(m: Symmetric): Symmetric {
  const det = determinant(m)
  return [m[2] / det, -m[1] / det, m[0] / det]
}

/** Of a positive definite matrix: (M + √det) over √(trace + 2·√det), by Cayley and Hamilton. */
function root(m: Symmetric): Symmetric | undefined {
  const det = determinant(m)
  if (!(det > 0)) return undefined
  const s = Math.sqrt(det)
  const t = Math.sqrt(m[0] + m[2] + 2 * s)
  return [(m[0] + s) / t, m[1] / t, (m[2] + s) / t]
}
