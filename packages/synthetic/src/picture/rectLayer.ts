import type { Vec3 } from '@isochip/core'
import type { Picture } from './picture.ts'
import { type Bounds, eachPixel, type Plane } from './plane.ts'

/** A rectangle in the coordinates of a plane. */
export interface Rect {
  readonly bounds: Bounds
  readonly colour: Vec3
}

/** Share of u ± reach/2 that lies between two edges. */
const overlap = (low: number, high: number, at: number, reach: number) =>
  Math.max(0, Math.min(at + reach / 2, high) - Math.max(at - reach / 2, low)) / reach

/** Paints flat rectangles that lie in a plane, one over the other. */
export function rectLayer(picture: Picture, plane: Plane, rects: readonly Rect[]): void {
  const { data } = picture
  for (const { bounds, colour } of rects) {
    const [r, g, b] = colour
    eachPixel(picture, plane, bounds, (at, u, v, reachU, reachV) => {
      const cover = overlap(bounds[0], bounds[2], u, reachU) * overlap(bounds[1], bounds[3], v, reachV)
      data[at]! += cover * (r - data[at]!)
      data[at + 1]! += cover * (g - data[at + 1]!)
      data[at + 2]! += cover * (b - data[at + 2]!)
    })
  }
}
