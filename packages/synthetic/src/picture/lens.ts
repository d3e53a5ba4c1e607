import { hypot } from '@isochip/core'
import type { Point } from './homography.ts'

/**
 * Radial distortion about the middle of the frame: a point at the distance r (1 = half the diagonal) goes to
 * r · (1 + k · r²). Below zero barrel, above zero pincushion.
 */
export interface Lens {
  readonly k: number
  /** From the undistorted picture to the distorted. */
  distort(point: Point): Point
  /** For a squared distance from the middle in the distorted picture, in pixels²: the factor back. */
  factorBack(squared: number): number
  readonly middle: Point
}

const steps = 2048
const reach = 2.5

export function lens(k: number, width: number, height: number): Lens {
  const middle: Point = [width / 2, height / 2]
  const unit = hypot(width, height) / 2
  const factors = new Float64Array(steps + 2)
  for (let i = 0; i < factors.length; i++) {
    const goal = Math.sqrt((i / steps) * reach)
    let r = goal
    for (let n = 0; n < 30; n++) r -= (r * (1 + k * r * r) - goal) / Math.max(1 + 3 * k * r * r, 0.2)
    factors[i] = goal === 0 ? 1 : r / goal
  }
  const scale = steps / (reach * unit * unit)
  return {
    k,
    middle,
    distort: ([x, y]) => {
      const dx = x - middle[0]
      const dy = y - middle[1]
      const factor = 1 + (k * (dx * dx + dy * dy)) / (unit * unit)
      return [middle[0] + dx * factor, middle[1] + dy * factor]
    },
    factorBack: (squared) => {
      const at = Math.min(squared * scale, steps)
      const left = at | 0
      return factors[left]! + (at - left) * (factors[left + 1]! - factors[left]!)
    },
  }
}
