import type { Vec3 } from '@isochip/core'
import { cos, sin } from '@isochip/core'
import type { See } from '../camera/camera.ts'
import { normals } from '../camera/noise.ts'
import { brush } from '../picture/brush.ts'
import { gridLayer } from '../picture/gridLayer.ts'
import type { Lens } from '../picture/lens.ts'
import { blankPicture, type Picture } from '../picture/picture.ts'
import { cornersOf } from '../picture/pose.ts'
import type { Random } from '../random.ts'
import { materials } from '../spectrum/materials.ts'
import type { ClutterTools } from './clutterTools.ts'
import { flatThings } from './flatThings.ts'
import { looseThings } from './looseThings.ts'

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

/** Light that is not the same everywhere: two slow waves over the picture, and a fine grain on the surfaces. */
function weather({ width, height, data }: Picture, r: Random): void {
  const wave = () => {
    const [x, y, phase] = [r.between(-4, 4), r.between(-4, 4), r.between(0, 6)]
    const depth = r.between(0, 0.3)
    // Separable: sin(x + y) = sin x cos y + cos x sin y.
    const part = (count: number, rate: number, at: (angle: number) => number, start: number) =>
      Float32Array.from({ length: count }, (_, i) => at((rate * i) / width + start))
    return {
      sinX: part(width, x, (angle) => depth * sin(angle), phase),
      cosX: part(width, x, (angle) => depth * cos(angle), phase),
      sinY: part(height, y, sin, 0),
      cosY: part(height, y, cos, 0),
    }
  }
  const [a, b] = [wave(), wave()]
  const grain = r.between(0, 0.09)
  const drawn = new Int32Array(width)
  for (let y = 0; y < height; y++) {
    r.fill(drawn)
    for (let x = 0; x < width; x++) {
      const i = (y * width + x) * 3
      const slow =
        a.sinX[x]! * a.cosY[y]! + a.cosX[x]! * a.sinY[y]! + b.sinX[x]! * b.cosY[y]! + b.cosX[x]! * b.sinY[y]!
      const factor = (0.85 + slow) * (1 + grain * normals[drawn[x]! >>> 20]!)
      data[i]! *= factor
      data[i + 1]! *= factor
      data[i + 2]! *= factor
    }
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
