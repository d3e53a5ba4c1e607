import type { Vec3 } from '@isochip/core'
import { pow } from '@isochip/core'
import type { Pose } from '../picture/pose.ts'
import type { ClutterTools } from './clutterTools.ts'

type Painter = (tools: ClutterTools) => void

const list = (count: number, at: (i: number) => Vec3) => Array.from({ length: count }, (_, i) => at(i))

/** Somewhere in the picture, at any turn. */
function anywhere({ r }: ClutterTools, low: number, high: number): Pose {
  return {
    centre: [r.between(0.05, 0.95), r.between(0.05, 0.95)],
    size: r.between(low, high),
    rotation: r.chance(0.5) ? r.between(-8, 8) : r.between(0, 360),
    tilt: r.between(-30, 30),
    pan: r.between(-30, 30),
  }
}

const covering = ({ r }: ClutterTools): Pose => ({
  centre: [0.5, 0.5],
  size: 3,
  rotation: r.between(-20, 20),
  tilt: r.between(-8, 8),
  pan: r.between(-8, 8),
})

const brightness = ([r, g, b]: Vec3, factor: number): Vec3 => [r * factor, g * factor, b * factor]

/** Things made of a grid; the first two cover the whole ground. */
export const flatThings = {
  tiles: (tools) => {
    const { r, colour, grey, grid } = tools
    const columns = r.whole(8, 40)
    const rows = Math.round((columns / 1.5) * r.pick([1, 1, 2]))
    const main = colour()
    const other = r.chance(0.4) ? colour() : main
    const checker = r.chance(0.5)
    grid(
      covering(tools),
      {
        columns,
        rows,
        aspect: 1.5,
        board: grey(r.between(0.05, 0.7)),
        margin: [0, 0, 0, 0],
        colours: list(columns * rows, (i) => {
          const second = checker ? (i + Math.floor(i / columns)) % 2 === 1 : r.chance(0.15)
          return brightness(second ? other : main, r.between(0.85, 1.15))
        }),
      },
      r.between(0.02, 0.12),
    )
  },

  plaid: (tools) => {
    const { r, colour, grid } = tools
    const columns = 48
    const rows = 32
    const [a, b, c] = [colour(), colour(), colour()]
    const pattern = list(8, () => r.pick([a, a, b, c]))
    grid(
      covering(tools),
      {
        columns,
        rows,
        aspect: 1.5,
        board: a,
        margin: [0, 0, 0, 0],
        colours: list(columns * rows, (i) => {
          const x = pattern[i % 8]!
          const y = pattern[Math.floor(i / columns) % 8]!
          return [(x[0] + y[0]) / 2, (x[1] + y[1]) / 2, (x[2] + y[2]) / 2]
        }),
      },
      0,
    )
  },

  window: (tools) => {
    const { r, grey, colour, grid } = tools
    const columns = r.whole(2, 4)
    const rows = r.whole(2, 5)
    const sky = grey(r.between(0.8, 4))
    grid(
      { ...anywhere(tools, 0.2, 0.6), rotation: r.between(-6, 6) },
      {
        columns,
        rows,
        aspect: r.between(0.6, 1.6),
        board: r.chance(0.5) ? grey(r.between(0.1, 0.7)) : colour(),
        margin: [0.05, 0.05, 0.05, 0.05],
        colours: list(columns * rows, (i) =>
          Math.floor(i / columns) < rows - 1
            ? brightness(sky, r.between(0.8, 1.1))
            : colour(r.between(0.8, 2)),
        ),
      },
      r.between(0.08, 0.2),
    )
  },

  keyboard: (tools) => {
    const { r, grey, colour, grid } = tools
    const columns = r.whole(10, 15)
    const rows = r.whole(4, 6)
    const dark = r.chance(0.6)
    const key = grey(dark ? r.between(0.03, 0.08) : r.between(0.5, 0.8))
    grid(
      anywhere(tools, 0.3, 0.8),
      {
        columns,
        rows,
        aspect: (columns / rows) * 1.05,
        board: grey(dark ? r.between(0.01, 0.3) : r.between(0.1, 0.6)),
        margin: [0.1, 0.12, 0.1, 0.1],
        radius: 0.06,
        colours: list(columns * rows, () =>
          r.chance(0.05) ? colour() : brightness(key, r.between(0.8, 1.2)),
        ),
      },
      r.between(0.12, 0.25),
    )
  },

  /** Patches of any colours: sticky notes, paint cards, a patchwork, a cube of colours. Sizes of charts included. */
  mosaic: (tools) => {
    const { r, grey, colour, grid } = tools
    const [columns, rows] = r.chance(0.35)
      ? r.pick([
          [6, 4],
          [4, 6],
          [8, 6],
        ] as const)
      : ([r.whole(2, 10), r.whole(2, 7)] as const)
    const few = r.chance(0.3) ? list(r.whole(3, 6), () => colour()) : undefined
    grid(
      anywhere(tools, 0.12, 0.5),
      {
        columns,
        rows,
        aspect: columns / rows,
        board: r.chance(0.5) ? grey(r.between(0.02, 0.06)) : grey(r.between(0.2, 0.85)),
        margin: r.chance(0.5) ? [0.08, 0.08, 0.08, 0.08] : [0, 0, 0, 0],
        radius: 0.02,
        colours: list(columns * rows, () => (few === undefined ? colour(r.between(0.6, 1.2)) : r.pick(few))),
      },
      r.pick([0, 0.05, 0.12, 0.2, 0.35]),
    )
  },

  /** Icons on a screen that shines by itself. */
  screen: (tools) => {
    const { r, grey, colour, grid } = tools
    const columns = r.whole(4, 9)
    const rows = r.whole(3, 6)
    const ground = colour(r.between(0.5, 1.5))
    grid(
      anywhere(tools, 0.25, 0.6),
      {
        columns,
        rows,
        aspect: 1.6,
        board: ground,
        margin: [0.06, 0.06, 0.06, 0.06],
        radius: 0.03,
        colours: list(columns * rows, () =>
          r.chance(0.3) ? ground : r.chance(0.3) ? grey(r.between(0.3, 1.6)) : colour(r.between(0.8, 2.2)),
        ),
      },
      r.between(0.3, 0.55),
    )
  },

  /** Grey steps and colour bars, as on a card for setting up lenses and monitors. */
  bars: (tools) => {
    const { r, grey, grid } = tools
    const steps = r.whole(5, 11)
    const greyScale = r.chance(0.5)
    const primary = (i: number): Vec3 => {
      const [red, green, blue] = grey(0.75)
      const bits = 7 - (i % 8)
      return [bits & 2 ? red : red * 0.04, bits & 4 ? green : green * 0.04, bits & 1 ? blue : blue * 0.04]
    }
    const rows = greyScale ? 2 : r.whole(1, 2)
    grid(
      anywhere(tools, 0.2, 0.6),
      {
        columns: steps,
        rows,
        aspect: r.between(1.3, 3.5),
        board: grey(r.between(0.02, 0.2)),
        margin: [0.1, 0.15, 0.1, 0.15],
        colours: list(steps * rows, (i) => {
          const at = i < steps ? i : 2 * steps - 1 - i
          return greyScale ? grey(0.03 + 0.87 * pow(at / (steps - 1), 2.2)) : primary(at)
        }),
      },
      r.chance(0.5) ? 0 : 0.1,
    )
  },
} satisfies Record<string, Painter>
