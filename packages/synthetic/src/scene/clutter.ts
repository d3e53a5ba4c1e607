import type { Vec3 } from '@isochip/core'
import type { See } from '../camera/camera.ts'
import { normals } from '../camera/noise.ts'
import { type Brush, brush } from '../picture/brush.ts'
import { type GridLayer, gridLayer } from '../picture/gridLayer.ts'
import type { Lens } from '../picture/lens.ts'
import { blankPicture, type Picture } from '../picture/picture.ts'
import { cornersOf, type Pose } from '../picture/pose.ts'
import { resize } from '../picture/resize.ts'
import type { Random } from '../random.ts'
import { materials } from '../spectrum/materials.ts'
import { flatThings } from './flatThings.ts'
import { looseThings } from './looseThings.ts'

/** What the painters of clutter work with. */
export interface ClutterTools {
  readonly r: Random
  readonly brush: Brush
  /** The frame's width over its height: x runs over ± half of it, y over ± 0.5. */
  readonly wide: number
  /** A colour of some material, as the camera sees it. */
  readonly colour: (level?: number) => Vec3
  readonly grey: (level: number) => Vec3
  /** Paints a grid of patches somewhere; the pose's size is that of the grid. */
  readonly grid: (pose: Pose, layer: Omit<GridLayer, 'pitch' | 'patch'>, gap: number) => void
}

export interface ClutterScene {
  readonly r: Random
  readonly see: See
  readonly width: number
  readonly height: number
  readonly lens: Lens
  readonly blur: number
  /** How many things lie about. */
  readonly things: number
}

/** Light that is not the same everywhere: smooth hills over the picture, and a fine grain on the surfaces. */
function weather(picture: Picture, r: Random): void {
  const { width, height, data } = picture
  const hills = blankPicture(7, 5)
  for (let i = 0; i < hills.data.length; i += 3) hills.data.fill(r.between(0.45, 1.25), i, i + 3)
  const light = resize(hills, width, height)
  const grain = r.between(0, 0.09)
  for (let i = 0; i < data.length; i += 3) {
    const factor = light.data[i]! * (1 + grain * normals[r.bits() >>> 20]!)
    data[i]! *= factor
    data[i + 1]! *= factor
    data[i + 2]! *= factor
  }
}

/** A cluttered place as a camera sees it: a ground, and things on it. Nothing in it is a test chart. */
export function clutter(scene: ClutterScene): Picture {
  const { r, see, width, height, lens, blur } = scene
  const diffuser = see()
  const palette = materials(r.whole(1, 1 << 24), 48).map(({ reflectance }) => see(reflectance))
  const grey = (level: number): Vec3 => [diffuser[0] * level, diffuser[1] * level, diffuser[2] * level]
  const colour = (level = 1): Vec3 => {
    const [red, green, blue] = r.pick(palette)
    return [red * level, green * level, blue * level]
  }
  const picture = blankPicture(width, height, r.chance(0.5) ? grey(r.between(0.05, 0.7)) : colour())
  const tools: ClutterTools = {
    r,
    colour,
    grey,
    wide: width / height,
    brush: brush(picture, { x: 0, y: 0, zoom: 1 }),
    grid: (pose, layer, gap) => {
      const { columns, rows } = layer
      const pitchU = 1 / (columns - gap)
      const pitchV = 1 / (rows - gap)
      gridLayer(
        picture,
        { corners: cornersOf(pose, layer.aspect, width, height), lens, softness: Math.max(1, blur) },
        { ...layer, pitch: [pitchU, pitchV], patch: [pitchU * (1 - gap), pitchV * (1 - gap)] },
      )
    },
  }
  for (let i = 0; i < scene.things; i++) {
    // What covers the whole ground comes first, or it would hide the rest.
    const ground = i === 0 && r.chance(0.7)
    if (ground) r.pick([flatThings.tiles, flatThings.plaid, looseThings.planks, looseThings.books])(tools)
    else r.pick([...Object.values(flatThings).slice(2), ...Object.values(looseThings).slice(2)])(tools)
  }
  weather(picture, r)
  return picture
}
