import type { Vec3 } from '@isochip/core'
import { exp } from '@isochip/core'
import { blur } from '../picture/blur.ts'
import { brush, type View } from '../picture/brush.ts'
import { blankPicture, type Picture } from '../picture/picture.ts'
import { random } from '../random.ts'
import type { Spectrum } from '../spectrum/grid.ts'
import type { KitchenColour } from './kitchenColours.ts'
import { paintProps } from './kitchenProps.ts'
import type { KitchenTools, Paint } from './kitchenTools.ts'

const width = 640
const height = 360

/**
 * The kitchen of the invented show, out of focus behind the chart: a window over a harbour, tiles, a shelf, a worktop
 * and what stands on it. World units: the frame of the widest view is one high.
 */
export function paintKitchen(
  see: (reflectance: Spectrum) => Vec3,
  spectra: ReadonlyMap<KitchenColour, Spectrum>,
  setup: 'day' | 'evening',
  view: View,
  defocus: number,
): Picture {
  const seen = new Map([...spectra].map(([name, spectrum]) => [name, see(spectrum)]))
  const paint: Paint = (name, level = 1) => {
    const [r, g, b] = seen.get(name)!
    return [r * level, g * level, b * level]
  }
  const day = setup === 'day'
  const picture = blankPicture(width, height, paint('plaster', 0.5))
  const tools: KitchenTools = {
    brush: brush(picture, view),
    paint,
    round: (colour, level = 1, gloss = 0.25) => {
      const [r, g, b] = paint(colour, level)
      const shine = paint('china', level * gloss)
      return (x, y) => {
        const depth = Math.sqrt(Math.max(0, 1 - x * x - y * y))
        const lit = Math.max(0, -0.55 * x - 0.6 * y + 0.58 * depth)
        const light = 0.22 + 0.85 * lit
        const spot = exp(-(((x + 0.4) / 0.22) ** 2) - ((y + 0.45) / 0.18) ** 2)
        return [r * light + spot * shine[0], g * light + spot * shine[1], b * light + spot * shine[2]]
      }
    },
  }
  paintWall(tools, day)
  paintWindow(tools, day)
  paintProps(tools, day)
  return blur(picture, (defocus * view.zoom * height) / 360)
}

function paintWall({ brush, paint }: KitchenTools, day: boolean): void {
  // Light falls off from the window on the left by day, from the lamps by evening.
  const falloff = (x: number, y: number) =>
    day
      ? 0.2 + 0.5 * exp(-(((x + 0.55) / 0.8) ** 2) - ((y + 0.1) / 0.9) ** 2)
      : 0.12 + 0.45 * exp(-(((x - 0.28) / 0.5) ** 2) - ((y + 0.2) / 0.45) ** 2)
  const plaster = paint('plaster')
  brush.box([0, -0.4], [4, 1.4], (u, v) => {
    const light = falloff(u * 2, -0.4 + v * 0.7)
    return [plaster[0] * light, plaster[1] * light, plaster[2] * light]
  })
  brush.box([0, 0.03], [4, 0.42], paint('grout', 0.3))
  const tileW = 0.13
  const tileH = 0.066
  const shades = random(11)
  for (let row = 0; row < 6; row++) {
    for (let column = -9; column < 10; column++) {
      const x = column * tileW + (row % 2) * (tileW / 2)
      const y = -0.145 + row * (tileH + 0.004)
      const kind = shades.chance(0.22) ? 'tilePale' : 'tileTeal'
      const own = falloff(x, y) * shades.between(0.85, 1.2)
      const sheen = paint('china', own * 0.16)
      const [r, g, b] = paint(kind, own)
      brush.box(
        [x, y],
        [tileW - 0.006, tileH - 0.005],
        (_, v) => {
          const glint = Math.max(0, -v - 0.2)
          return [r + sheen[0] * glint, g + sheen[1] * glint, b + sheen[2] * glint]
        },
        { radius: 0.004 },
      )
    }
  }
}

function paintWindow({ brush, paint }: KitchenTools, day: boolean): void {
  const middle = -0.56
  brush.box([middle, -0.16], [0.6, 0.62], paint('frame', day ? 0.5 : 0.3))
  const high = paint(day ? 'sky' : 'dusk', day ? 1.15 : 0.5)
  const low = paint(day ? 'frame' : 'dusk', day ? 1.1 : 1.1)
  brush.box([middle, -0.17], [0.55, 0.56], (_, v) => {
    const t = Math.min(Math.max((v + 1) / 1.5, 0), 1)
    return [
      high[0] + t * (low[0] - high[0]),
      high[1] + t * (low[1] - high[1]),
      high[2] + t * (low[2] - high[2]),
    ]
  })
  const out = day ? 0.95 : 0.25
  brush.box([middle, 0.045], [0.55, 0.13], paint(day ? 'sea' : 'duskSea', day ? 0.9 : 0.8))
  // The far quay, its sheds and masts; a boat.
  brush.box([middle, -0.03], [0.55, 0.03], paint('quay', out * 0.8))
  for (const [x, w, h] of [
    [-0.78, 0.07, 0.09],
    [-0.69, 0.05, 0.06],
    [-0.45, 0.09, 0.075],
    [-0.36, 0.05, 0.11],
  ] as const) {
    brush.box([x, -0.03 - h / 2], [w, h], paint(x < -0.6 ? 'linen' : 'terracotta', out * 0.7))
  }
  for (const x of [-0.62, -0.585, -0.53]) brush.box([x, -0.1], [0.007, 0.16], paint('walnut', out))
  brush.box([-0.57, -0.005], [0.15, 0.035], paint('hull', out), { radius: 0.015 })
  brush.box([-0.555, -0.034], [0.05, 0.03], paint('china', out), { radius: 0.005 })
  if (!day) {
    for (const [x, y] of [
      [-0.77, -0.07],
      [-0.7, -0.05],
      [-0.46, -0.06],
      [-0.43, -0.06],
      [-0.36, -0.1],
      [-0.555, -0.035],
    ] as const) {
      brush.oval([x, y], [0.011, 0.011], paint('lampGlass', 1.7))
      brush.box([x, 0.06], [0.008, 0.07], paint('lampGlass', 0.25), { soft: 0.01 })
    }
  }
  // Glazing bars, and the sill.
  for (const x of [-0.56]) brush.box([x, -0.17], [0.022, 0.56], paint('frame', day ? 0.6 : 0.32))
  brush.box([middle, -0.22], [0.55, 0.018], paint('frame', day ? 0.6 : 0.32))
  brush.box([middle, 0.125], [0.66, 0.035], paint('frame', day ? 0.75 : 0.35), { radius: 0.006 })
}
