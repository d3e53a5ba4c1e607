import { cos, exp, sin } from '@isochip/core'
import type { KitchenTools } from './kitchenTools.ts'

/** Shelf, lamps, worktop, and what stands on it. */
export function paintProps(tools: KitchenTools, day: boolean): void {
  paintShelf(tools, day ? 0.6 : 0.75)
  if (!day) paintGlow(tools)
  paintLamps(tools, day)
  paintWorktop(tools, day)
  paintLeftGroup(tools, day ? 0.95 : 0.55)
  paintRightGroup(tools, day ? 0.65 : 0.8)
}

function paintShelf({ brush, paint, round }: KitchenTools, light: number): void {
  brush.box([0.56, -0.2], [0.64, 0.022], paint('oak', light * 0.9))
  brush.box([0.56, -0.182], [0.64, 0.014], paint('walnut', light * 0.4))
  brush.box([0.56, -0.165], [0.64, 0.04], paint('dark', light * 0.5), { soft: 0.06 })
  // Plates on edge, jars, a jug.
  for (const [i, x] of [0.3, 0.335, 0.37].entries()) {
    brush.oval([x, -0.275], [0.03, 0.064], round(i === 1 ? 'tilePale' : 'china', light * 0.95))
  }
  for (const [x, colour, h] of [
    [0.46, 'terracotta', 0.1],
    [0.53, 'linen', 0.12],
    [0.595, 'crust', 0.09],
  ] as const) {
    brush.box([x, -0.211 - h / 2], [0.052, h], round(colour, light * 1.1, 0.5), { radius: 0.012 })
    brush.box([x, -0.216 - h], [0.046, 0.018], paint('steel', light * 0.6), { radius: 0.004 })
  }
  brush.oval([0.7, -0.262], [0.048, 0.054], round('bowl', light * 1.1, 0.5))
  brush.box([0.7, -0.318], [0.05, 0.03], round('bowl', light), { radius: 0.006 })
  brush.box([0.82, -0.255], [0.06, 0.09], round('enamel', light, 0.5), { radius: 0.01 })
  // Copper pans on a rail below it.
  brush.box([0.58, -0.135], [0.5, 0.007], paint('steel', light * 0.8))
  for (const [x, r] of [
    [0.42, 0.045],
    [0.56, 0.056],
    [0.71, 0.048],
  ] as const) {
    brush.box([x, -0.09], [0.012, 0.09], paint('dark', light))
    brush.oval([x, -0.05 + r * 0.8], [r, r], round('copper', light * 1.1, 0.8))
  }
}

/** The wall around a burning lamp. */
function paintGlow({ brush, paint }: KitchenTools): void {
  for (const x of [0.02, 0.4]) {
    const [r, g, b] = paint('lampGlass', 0.3)
    for (let ring = 0; ring < 3; ring++) {
      const share = 0.1 + ring * 0.1
      brush.oval(
        [x, -0.36],
        [0.22 - ring * 0.06, 0.17 - ring * 0.045],
        [r * (0.8 + share), g * (0.8 + share), b * (0.8 + share)],
        { soft: 0.14 },
      )
    }
  }
}

function paintLamps({ brush, paint, round }: KitchenTools, day: boolean): void {
  for (const x of [0.02, 0.4]) {
    brush.box([x, -0.7], [0.006, 0.6], paint('dark', 0.4))
    brush.oval([x, -0.395], [0.085, 0.055], round('enamel', day ? 0.45 : 0.3))
    brush.box([x, -0.362], [0.16, 0.02], paint('dark', 0.6), { radius: 0.01 })
    brush.oval([x, -0.352], [0.055, 0.016], paint('lampGlass', day ? 0.4 : 2.2))
  }
}

function paintWorktop({ brush, paint }: KitchenTools, day: boolean): void {
  const bright = day ? 0.62 : 0.5
  const centre = day ? -0.5 : 0.2
  const planks = [0.235, 0.262, 0.3, 0.352, 0.42, 0.52, 0.7]
  for (let i = 0; i + 1 < planks.length; i++) {
    const [top, bottom] = [planks[i]!, planks[i + 1]!]
    const [r, g, b] = paint(i % 2 === 0 ? 'oak' : 'crust', bright * (i % 2 === 0 ? 1 : 1.15))
    const shine = paint(day ? 'sky' : 'lampGlass', 0.3 / (1 + i))
    brush.box([0, (top + bottom) / 2], [4, bottom - top], (u) => {
      const near = exp(-(((u * 2 - centre) / 0.45) ** 2))
      const light = 0.45 + 0.6 * near
      return [r * light + shine[0] * near, g * light + shine[1] * near, b * light + shine[2] * near]
    })
    brush.box([0, bottom], [4, 0.003], paint('walnut', bright * 0.5))
  }
}

function paintLeftGroup({ brush, paint, round }: KitchenTools, light: number): void {
  brush.oval([-0.43, 0.34], [0.2, 0.03], paint('walnut', 0.25 * light), { soft: 0.05 })
  for (const [x, y] of [
    [-0.53, 0.2],
    [-0.44, 0.185],
    [-0.36, 0.205],
    [-0.485, 0.15],
    [-0.4, 0.145],
  ] as const) {
    brush.oval([x, y], [0.056, 0.046], round('lemon', light, 0.4), { turn: x * 300 })
  }
  brush.oval([-0.45, 0.265], [0.17, 0.075], round('bowl', light, 0.6))
  brush.box([-0.45, 0.225], [0.335, 0.016], paint('bowl', light * 1.3), { radius: 0.008 })
  brush.box([-0.45, 0.335], [0.1, 0.018], paint('bowl', light * 0.4), { radius: 0.006 })
  // One lemon that rolled away, and a tomato.
  brush.oval([-0.2, 0.37], [0.058, 0.045], round('lemon', light, 0.4), { turn: 15 })
  brush.oval([-0.72, 0.33], [0.055, 0.05], round('tomato', light, 0.5))
  brush.oval([-0.81, 0.36], [0.058, 0.052], round('tomato', light * 0.9, 0.5))
  // Herbs in a pot.
  for (let i = 0; i < 26; i++) {
    const angle = i * 2.4
    const reach = 0.03 + 0.0034 * i
    brush.oval(
      [-0.8 + cos(angle) * reach * 0.9, 0.08 + sin(angle) * reach * 0.8],
      [0.034, 0.018],
      round(i % 3 === 0 ? 'leafDark' : 'leaf', light * 0.9, 0.1),
      { turn: angle * 57 },
    )
  }
  brush.box([-0.8, 0.215], [0.13, 0.13], round('terracotta', light), { radius: 0.02 })
  brush.box([-0.8, 0.155], [0.15, 0.03], round('terracotta', light * 1.1), { radius: 0.008 })
}

function paintRightGroup({ brush, paint, round }: KitchenTools, light: number): void {
  brush.oval([0.6, 0.33], [0.3, 0.03], paint('walnut', 0.25 * light), { soft: 0.05 })
  // Oil, an enamel pot, a loaf on its board, aubergines.
  brush.box([0.3, 0.16], [0.075, 0.24], round('oil', light, 0.7), { radius: 0.03 })
  brush.box([0.3, 0.03], [0.026, 0.09], round('oil', light, 0.5), { radius: 0.008 })
  brush.box([0.52, 0.215], [0.23, 0.15], round('enamel', light * 1.1, 0.7), { radius: 0.03 })
  brush.box([0.52, 0.138], [0.25, 0.022], round('enamel', light * 1.2, 0.5), { radius: 0.01 })
  brush.oval([0.52, 0.118], [0.022, 0.015], paint('dark', light))
  brush.box([0.81, 0.335], [0.34, 0.022], paint('oak', light * 1.2), { radius: 0.008 })
  brush.oval([0.8, 0.272], [0.125, 0.066], round('crust', light * 1.3, 0.15))
  for (const x of [0.75, 0.8, 0.85]) {
    brush.oval([x, 0.245], [0.007, 0.035], paint('linen', light), { turn: 24, soft: 0.01 })
  }
  brush.oval([0.42, 0.4], [0.1, 0.036], round('aubergine', light * 1.3, 0.6), { turn: -12 })
  brush.oval([0.34, 0.425], [0.026, 0.02], paint('leaf', light * 0.7))
  brush.oval([0.62, 0.41], [0.05, 0.045], round('tomato', light, 0.5))
}
