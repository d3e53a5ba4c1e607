import type { Vec3 } from '@isochip/core'
import type { Picture } from './picture.ts'
import { eachPixel, type Plane } from './plane.ts'

/** A board with a grid of patches: a test chart, or anything that looks a little like one. */
export interface GridLayer {
  readonly columns: number
  readonly rows: number
  /** As in a chart's geometry: fractions of the grid's width and height. */
  readonly pitch: readonly [number, number]
  readonly patch: readonly [number, number]
  /** Width of the grid over its height. */
  readonly aspect: number
  /** Row by row. */
  readonly colours: readonly Vec3[]
  /** Between and around the patches. */
  readonly board: Vec3
  /** How far the board reaches beyond the grid: left, top, right, bottom, in grid heights. */
  readonly margin: readonly [number, number, number, number]
  /** Radius of the board's corners, in grid heights. */
  readonly radius?: number
  /** Factor on the light that falls on the point (u, v) of the grid. */
  readonly shade?: (u: number, v: number) => number
  /** Light of the lamp that the surface throws back like a mirror at (u, v), and its colour. */
  readonly sheen?: { readonly colour: Vec3; readonly level: (u: number, v: number) => number }
}

/** Paints a board whose patch grid spans the plane's unit square. Edges are smoothed by area. */
export function gridLayer(picture: Picture, plane: Plane, layer: GridLayer): void {
  const { data } = picture
  const { columns, rows, pitch, patch, aspect, colours, margin, shade, sheen } = layer
  const [boardR, boardG, boardB] = layer.board
  const bounds = [-margin[0] / aspect, -margin[1], 1 + margin[2] / aspect, 1 + margin[3]] as const
  const radius = layer.radius ?? 0
  const midU = (bounds[0] + bounds[2]) / 2
  const midV = (bounds[1] + bounds[3]) / 2
  const halfU = ((bounds[2] - bounds[0]) / 2) * aspect - radius
  const halfV = (bounds[3] - bounds[1]) / 2 - radius
  const table = Float64Array.from(colours.flat())
  const [pitchU, pitchV] = pitch
  const [sizeU, sizeV] = patch

  eachPixel(picture, plane, bounds, (at, u, v, reachU, reachV) => {
    // Distance from the rounded outline, in grid heights; below zero inside.
    const overU = Math.abs(u - midU) * aspect - halfU
    const overV = Math.abs(v - midV) - halfV
    const corner = overU > 0 && overV > 0
    const distance = (corner ? Math.sqrt(overU * overU + overV * overV) : Math.max(overU, overV)) - radius
    const cover = 0.5 - distance / Math.max(reachU * aspect, reachV)
    if (cover <= 0) return

    let r = 0
    let g = 0
    let b = 0
    let covered = 0
    const lowU = u - reachU / 2
    const highU = u + reachU / 2
    const lowV = v - reachV / 2
    const highV = v + reachV / 2
    const firstU = Math.max(Math.floor(lowU / pitchU), 0)
    const lastU = Math.min(Math.floor(highU / pitchU), columns - 1)
    const firstV = Math.max(Math.floor(lowV / pitchV), 0)
    const lastV = Math.min(Math.floor(highV / pitchV), rows - 1)
    for (let row = firstV; row <= lastV; row++) {
      const partV = (Math.min(highV, row * pitchV + sizeV) - Math.max(lowV, row * pitchV)) / reachV
      if (partV <= 0) continue
      for (let column = firstU; column <= lastU; column++) {
        const partU = (Math.min(highU, column * pitchU + sizeU) - Math.max(lowU, column * pitchU)) / reachU
        if (partU <= 0) continue
        const part = partU * partV
        const entry = (row * columns + column) * 3
        r += part * table[entry]!
        g += part * table[entry + 1]!
        b += part * table[entry + 2]!
        covered += part
      }
    }
    const rest = 1 - covered
    const light = shade === undefined ? 1 : shade(u, v)
    r = (r + rest * boardR) * light
    g = (g + rest * boardG) * light
    b = (b + rest * boardB) * light
    if (sheen !== undefined) {
      const level = sheen.level(u, v)
      r += level * sheen.colour[0]
      g += level * sheen.colour[1]
      b += level * sheen.colour[2]
    }
    if (cover >= 1) {
      data[at] = r
      data[at + 1] = g
      data[at + 2] = b
    } else {
      data[at]! += cover * (r - data[at]!)
      data[at + 1]! += cover * (g - data[at + 1]!)
      data[at + 2]! += cover * (b - data[at + 2]!)
    }
  })
}
