import type { Vec3 } from '@isochip/core'
import { cos, exp, sin } from '@isochip/core'
import type { ClutterTools } from './clutterTools.ts'

type Painter = (tools: ClutterTools) => void

const spot = ({ r, wide }: ClutterTools) => [r.between(-0.5, 0.5) * wide, r.between(-0.5, 0.5)] as const

/** Shapes without a grid; the first two cover the whole ground. */
export const looseThings = {
  planks: (tools) => {
    const { r, brush, colour, wide } = tools
    const base = colour()
    const turn = r.pick([0, 90, r.between(-30, 30)])
    const count = r.whole(5, 14)
    const size = 2 * wide
    for (let i = 0; i < count; i++) {
      const shade = r.between(0.75, 1.2)
      const ripple = r.between(5, 25)
      const across = (i / (count - 1) - 0.5) * size
      const c = cos((turn * Math.PI) / 180)
      const s = sin((turn * Math.PI) / 180)
      brush.box(
        [-s * across, c * across],
        [2 * size, size / (count - 1) - 0.004],
        (u, v) => {
          const grain = shade * (1 + 0.06 * sin(v * ripple + 3 * sin(u * 9)))
          return [base[0] * grain, base[1] * grain, base[2] * grain]
        },
        { turn },
      )
    }
  },

  books: (tools) => {
    const { r, brush, colour, grey, wide } = tools
    const shelves = r.whole(1, 3)
    for (let shelf = 0; shelf < shelves; shelf++) {
      const bottom = -0.5 + (shelf + 1) / shelves
      const room = 1 / shelves
      let x = -wide / 2
      while (x < wide / 2) {
        const w = r.between(0.025, 0.09)
        const h = room * r.between(0.6, 0.9)
        const cover = colour(r.between(0.6, 1.1))
        brush.box([x + w / 2, bottom - h / 2 - 0.02], [w - 0.003, h], cover, { radius: 0.004 })
        if (r.chance(0.6)) {
          brush.box(
            [x + w / 2, bottom - h * r.between(0.4, 0.8)],
            [w * 0.6, h * 0.12],
            grey(r.between(0.1, 0.9)),
          )
        }
        x += w
      }
      brush.box([0, bottom - 0.01], [wide, 0.02], colour(0.7))
    }
  },

  /** Fruit, balls, cups from above: shaded round things. */
  round: (tools) => {
    const { r, brush, colour, grey } = tools
    const middle = spot(tools)
    for (let i = r.whole(1, 8); i > 0; i--) {
      const size = r.between(0.03, 0.12)
      const base = colour()
      const shine = grey(r.between(0, 0.8))
      brush.oval(
        [middle[0] + r.between(-0.25, 0.25), middle[1] + r.between(-0.15, 0.15)],
        [size, size * r.between(0.6, 1)],
        (x, y): Vec3 => {
          const depth = Math.sqrt(Math.max(0, 1 - x * x - y * y))
          const light = 0.2 + 0.9 * Math.max(0, 0.6 * depth - 0.5 * x - 0.6 * y)
          const mirror = exp(-(((x + 0.4) / 0.2) ** 2) - ((y + 0.45) / 0.2) ** 2)
          return [
            base[0] * light + shine[0] * mirror,
            base[1] * light + shine[1] * mirror,
            base[2] * light + shine[2] * mirror,
          ]
        },
        { turn: r.between(0, 180) },
      )
    }
  },

  /** Lights out of focus. */
  bokeh: (tools) => {
    const { r, brush, colour } = tools
    for (let i = r.whole(4, 18); i > 0; i--) {
      const radius = r.between(0.01, 0.05)
      brush.oval(spot(tools), [radius, radius], colour(r.between(0.8, 5)), { soft: 0.008 })
    }
  },

  /** Rulers, cables, pens. */
  sticks: (tools) => {
    const { r, brush, colour, grey } = tools
    for (let i = r.whole(1, 7); i > 0; i--) {
      const turn = r.between(0, 180)
      const size = [r.between(0.15, 1.2), r.between(0.006, 0.04)] as const
      brush.box(spot(tools), size, r.chance(0.5) ? colour() : grey(r.between(0.02, 0.9)), {
        turn,
        radius: 0.003,
      })
    }
  },

  /** Sheets of paper with lines of print. */
  paper: (tools) => {
    const { r, brush, grey } = tools
    const [x, y] = spot(tools)
    const turn = r.between(-40, 40)
    const c = cos((turn * Math.PI) / 180)
    const s = sin((turn * Math.PI) / 180)
    const size = r.between(0.2, 0.5)
    brush.box([x, y], [size, size * 1.4], grey(r.between(0.6, 0.85)), { turn })
    for (let line = 0; line < 14; line++) {
      const down = ((line + 1) / 15 - 0.5) * size * 1.3
      const length = size * (line % 5 === 4 ? r.between(0.3, 0.6) : 0.8)
      const left = (length - size * 0.8) / 2
      brush.box([x + c * left - s * down, y + s * left + c * down], [length, size * 0.025], grey(0.12), {
        turn,
      })
    }
  },

  /** Plain boxes and boards, dark ones too, with the outline of a chart but nothing on them. */
  boards: (tools) => {
    const { r, brush, colour, grey } = tools
    for (let i = r.whole(1, 3); i > 0; i--) {
      const size = r.between(0.1, 0.5)
      const turn = r.between(0, 360)
      const fill = r.chance(0.5) ? grey(r.between(0.02, 0.8)) : colour()
      brush.box(spot(tools), [size, size * r.between(0.5, 1)], fill, { turn, radius: 0.01 })
    }
  },
} satisfies Record<string, Painter>
