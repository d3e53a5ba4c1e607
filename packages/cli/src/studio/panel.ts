import { IsochipError } from '@isochip/core'
import type { StudioTurn } from '@isochip/synthetic'

/** The controls of a simulated camera as the advice names them, with the unit that each is turned in. */
export const panelUnits = {
  'pedestal R': '%',
  'pedestal G': '%',
  'pedestal B': '%',
  exposure: 'stop',
  R: '%',
  B: '%',
  'R-G': '',
  'R-B': '',
  'G-R': '',
  'G-B': '',
  'B-R': '',
  'B-G': '',
} as const

export type Control = keyof typeof panelUnits

/** By how much each control was turned, in its unit; what is left out was not. */
export type PanelTurn = { readonly [name in Control]?: number }

export const controls = Object.keys(panelUnits) as Control[]

/** Beyond this nobody turns at once: a slip of the hand. */
const most = (control: Control) => (control === 'exposure' ? 4 : panelUnits[control] === '%' ? 50 : 1)

/** @throws IsochipError `usage` for what is no control, or turned by what is no sensible number */
export function checkedTurn(given: Readonly<Record<string, unknown>>): PanelTurn {
  for (const [name, by] of Object.entries(given)) {
    if (!Object.hasOwn(panelUnits, name))
      throw new IsochipError('usage', `a simulated camera has no control "${name}"`, {
        hint: `its controls are ${controls.join(', ')}`,
      })
    const limit = most(name as Control)
    if (typeof by !== 'number' || !(Math.abs(by) <= limit))
      throw new IsochipError(
        'usage',
        `${name} is to be turned by ${JSON.stringify(by)}, expected −${limit} to ${limit}`,
      )
  }
  return given as PanelTurn
}

/** What turning the controls comes to: the terms k of R′ = R + k·(R − G) … count the other way than matrix terms. */
export function studioTurn(turn: PanelTurn): StudioTurn {
  const of = (name: Control) => turn[name] ?? 0
  const term = (name: Control) => 0 - of(name)
  return {
    exposure: of('exposure'),
    red: 1 + of('R') / 100,
    blue: 1 + of('B') / 100,
    matrix: {
      rg: term('R-G'),
      rb: term('R-B'),
      gr: term('G-R'),
      gb: term('G-B'),
      br: term('B-R'),
      bg: term('B-G'),
    },
    pedestal: [of('pedestal R') / 100, of('pedestal G') / 100, of('pedestal B') / 100],
  }
}

/** A turn that the advice asks for, as turned at the panel; of one group of controls. */
export function panelTurn(asked: StudioTurn, group: 'pedestal' | 'exposure' | 'gains' | 'matrix'): PanelTurn {
  if (group === 'exposure') return { exposure: asked.exposure }
  if (group === 'gains') return { R: 100 * (asked.red - 1), B: 100 * (asked.blue - 1) }
  if (group === 'pedestal') {
    const [r, g, b] = asked.pedestal
    return { 'pedestal R': 100 * r, 'pedestal G': 100 * g, 'pedestal B': 100 * b }
  }
  const { rg, rb, gr, gb, br, bg } = asked.matrix
  return { 'R-G': -rg, 'R-B': -rb, 'G-R': -gr, 'G-B': -gb, 'B-R': -br, 'B-G': -bg }
}
