import { inverse3 } from '@isochip/core'
import { type Point, project, type Quad, squareToQuad } from './homography.ts'
import type { Lens } from './lens.ts'
import type { Picture } from './picture.ts'

/** A flat thing in the scene: its own coordinates run from (0, 0) to (1, 1) over `corners`. */
export interface Plane {
  /** In the undistorted picture. */
  readonly corners: Quad
  readonly lens: Lens
  /** Diameter of the circle that a point is blurred to, pixels; at least 1, the pixel itself. */
  readonly softness: number
}

/** u0, v0, u1, v1 in the plane's coordinates. */
export type Bounds = readonly [number, number, number, number]

/** What is painted at one pixel: the plane's coordinates, and how far it reaches in them. */
export type Visit = (at: number, u: number, v: number, reachU: number, reachV: number) => void

/** Runs over the pixels that an area of the plane can touch. `at` is the index of the pixel's red. */
export function eachPixel(picture: Picture, plane: Plane, bounds: Bounds, visit: Visit): void {
  const { width, height } = picture
  const { lens } = plane
  const map = squareToQuad(plane.corners)
  const [[a, b, c], [d, e, f], [g, h, i]] = inverse3(map)

  let left = width
  let right = 0
  let top = height
  let bottom = 0
  const [u0, v0, u1, v1] = bounds
  const edge = 12
  for (let n = 0; n <= edge; n++) {
    const t = n / edge
    const u = u0 + t * (u1 - u0)
    const v = v0 + t * (v1 - v0)
    const points: Point[] = [
      [u, v0],
      [u, v1],
      [u0, v],
      [u1, v],
    ]
    for (const point of points) {
      const [x, y] = lens.distort(project(map, point))
      left = Math.min(left, x)
      right = Math.max(right, x)
      top = Math.min(top, y)
      bottom = Math.max(bottom, y)
    }
  }
  const pad = plane.softness / 2 + 2
  const x0 = Math.max(0, Math.floor(left - pad))
  const x1 = Math.min(width, Math.ceil(right + pad))
  const y0 = Math.max(0, Math.floor(top - pad))
  const y1 = Math.min(height, Math.ceil(bottom + pad))
  const [middleX, middleY] = lens.middle
  const straight = lens.k === 0

  for (let py = y0; py < y1; py++) {
    const dy = py + 0.5 - middleY
    for (let px = x0; px < x1; px++) {
      const dx = px + 0.5 - middleX
      const factor = straight ? 1 : lens.factorBack(dx * dx + dy * dy)
      const x = middleX + dx * factor
      const y = middleY + dy * factor
      const w = 1 / (g * x + h * y + i)
      const u = (a * x + b * y + c) * w
      const v = (d * x + e * y + f) * w
      const size = plane.softness * factor * Math.abs(w)
      const reachU = (Math.abs(a - u * g) + Math.abs(b - u * h)) * size
      const reachV = (Math.abs(d - v * g) + Math.abs(e - v * h)) * size
      if (u + reachU < u0 || u - reachU > u1 || v + reachV < v0 || v - reachV > v1) continue
      visit((py * width + px) * 3, u, v, reachU, reachV)
    }
  }
}
