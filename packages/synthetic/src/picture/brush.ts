import type { Vec3 } from '@isochip/core'
import { cos, sin } from '@isochip/core'
import type { Point } from './homography.ts'
import type { Picture } from './picture.ts'

/** A colour, or one for every point of the shape: −1…1 across and down its box. */
export type Fill = Vec3 | ((across: number, down: number) => Vec3)

/** How the world lies in the picture: the world's y runs from −0.5 to 0.5 over the picture's height at zoom 1. */
export interface View {
  readonly x: number
  readonly y: number
  readonly zoom: number
}

export interface Brush {
  /** A rectangle with rounded corners about a middle, turned by degrees. */
  box(middle: Point, size: Point, fill: Fill, more?: { radius?: number; turn?: number; soft?: number }): void
  /** An ellipse; `soft` is the width of its edge, in world units. */
  oval(middle: Point, radii: Point, fill: Fill, more?: { turn?: number; soft?: number }): void
}

/** Paints simple shapes, in world units, into a picture. */
export function brush(picture: Picture, view: View): Brush {
  const { width, height, data } = picture
  const scale = height * view.zoom

  const shape = (
    [cx, cy]: Point,
    [rx, ry]: Point,
    turn: number,
    soft: number,
    fill: Fill,
    distance: (x: number, y: number) => number,
  ) => {
    const px = (cx - view.x) * scale + width / 2
    const py = (cy - view.y) * scale + height / 2
    const c = cos((turn * Math.PI) / 180)
    const s = sin((turn * Math.PI) / 180)
    const reachX = (Math.abs(rx * c) + Math.abs(ry * s) + soft) * scale + 1
    const reachY = (Math.abs(rx * s) + Math.abs(ry * c) + soft) * scale + 1
    const edge = Math.max(soft, 1 / scale)
    for (let y = Math.max(0, Math.floor(py - reachY)); y < Math.min(height, py + reachY); y++) {
      for (let x = Math.max(0, Math.floor(px - reachX)); x < Math.min(width, px + reachX); x++) {
        const dx = (x + 0.5 - px) / scale
        const dy = (y + 0.5 - py) / scale
        const across = dx * c + dy * s
        const down = dy * c - dx * s
        const cover = Math.min(0.5 - distance(across, down) / edge, 1)
        if (cover <= 0) continue
        const colour = typeof fill === 'function' ? fill(across / rx, down / ry) : fill
        const at = (y * width + x) * 3
        data[at]! += cover * (colour[0] - data[at]!)
        data[at + 1]! += cover * (colour[1] - data[at + 1]!)
        data[at + 2]! += cover * (colour[2] - data[at + 2]!)
      }
    }
  }

  return {
    box: (middle, [w, h], fill, { radius = 0, turn = 0, soft = 0 } = {}) => {
      shape(middle, [w / 2, h / 2], turn, soft, fill, (x, y) => {
        const overX = Math.abs(x) - w / 2 + radius
        const overY = Math.abs(y) - h / 2 + radius
        if (overX <= 0 || overY <= 0) return Math.max(overX, overY) - radius
        return Math.sqrt(overX * overX + overY * overY) - radius
      })
    },
    oval: (middle, [rx, ry], fill, { turn = 0, soft = 0 } = {}) => {
      shape(middle, [rx, ry], turn, soft, fill, (x, y) => {
        const k = Math.sqrt((x * x) / (rx * rx) + (y * y) / (ry * ry))
        return (k - 1) * Math.min(rx, ry)
      })
    },
  }
}
