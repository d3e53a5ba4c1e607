import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
import { log10 } from '../elementary/log10.ts'
import type { controls } from '../shape/controls.ts'
import type { Shape } from '../shape/shape.ts'
import type { ChainOrder } from './chain/chainOrder.ts'
import {
  type ControlGroup,
  controlGroups,
  controlNames,
  groupOf,
  numbersOfTurn,
  type Turn,
  type TurnGroup,
  turnNames,
  turnSize,
} from './controls.ts'

/** How the controls of a camera move; what is left out moves continuously. */
export interface Controls extends Shape<typeof controls> {}

/** The controls of one camera, for the twelve numbers of a turn. */
export interface Panel {
  /** Those that the camera has. */
  readonly groups: readonly TurnGroup[]
  /** Where the gains stand, if that is known. */
  readonly order?: ChainOrder
  /** Is the pedestal added to the light before the curve? */
  readonly pedestalInLight: boolean
  /** How far what is done misses what is asked: standard deviations in stops, ln gain, terms, signal. */
  readonly misses: Float64Array
  /** By number of a turn: value → clicks, not rounded; undefined where it moves continuously. */
  readonly clicks: readonly (Scale | undefined)[]
}

/** Clicks of a control. */
interface Scale {
  toClicks(value: number): number
  ofClicks(clicks: number): number
}

/** Where nothing is known: steps of the control, a hand's accuracy. Stops, ln gain, terms, signal. */
const usualMiss: Record<ControlGroup, number> = {
  exposure: 0.03,
  gains: 0.01,
  matrix: 0.008,
  pedestal: 0.002,
}
/** A known click lands within this of where it should, as a share of it: common practice, no source. */
const clickMiss = 0.3

const even = (step: number): Scale => ({
  toClicks: (value) => value / step,
  ofClicks: (clicks) => clicks * step,
})
/** Of a control that counts in parts of its gain. */
const parts = (step: number): Scale => ({
  toClicks: (value) => (exp(value) - 1) / step,
  ofClicks: (clicks) => ln(1 + Math.max(clicks * step, -0.99)),
})

/** 700 mV for 100 % of the signal: ITU-R BT.709-6 and the analogue forms before it. */
const millivolts = 700
/** Decibels of one stop, and of ln gain. */
const stopDb = 20 * log10(2)
const lnDb = 20 / Math.LN10

function scaleOf(controls: Controls, group: ControlGroup): Scale | undefined {
  if (group === 'exposure') {
    const { exposure } = controls
    if (exposure === undefined || exposure === 'none') return undefined
    return even('stops' in exposure ? exposure.stops : exposure.dB / stopDb)
  }
  if (group === 'matrix') {
    const { matrix } = controls
    return matrix === undefined || matrix === 'none' ? undefined : even(matrix.terms)
  }
  if (group === 'gains') {
    const { gains } = controls
    if (gains === undefined || gains === 'none') return undefined
    if (gains.percent !== undefined) return parts(gains.percent / 100)
    return gains.dB === undefined ? undefined : even(gains.dB / lnDb)
  }
  const { pedestal } = controls
  if (pedestal === undefined || pedestal === 'none') return undefined
  if (pedestal.percent !== undefined) return even(pedestal.percent / 100)
  return pedestal.mV === undefined ? undefined : even(pedestal.mV / millivolts)
}

/** Is the pedestal of this camera added to the light, before its curve? What is said of it is then a share of white, not of the signal. */
export const pedestalInLight = ({ pedestal }: Controls): boolean =>
  pedestal !== undefined && pedestal !== 'none' && pedestal.stand === 'before-curve'

export function panelOf(controls: Controls = {}): Panel {
  const scales = controlNames.map((group) => scaleOf(controls, group))
  const missOf = (group: ControlGroup) => {
    const scale = scales[controlNames.indexOf(group)]
    return scale === undefined ? usualMiss[group] : clickMiss * scale.ofClicks(1)
  }
  const { gains } = controls
  const order = gains === undefined || gains === 'none' ? undefined : gains.stand
  return {
    groups: turnNames.filter((group) => controls[group] !== 'none'),
    ...(order === undefined ? {} : { order }),
    pedestalInLight: pedestalInLight(controls),
    misses: Float64Array.from({ length: turnSize }, (_, i) => missOf(controlNames[groupOf[i]!]!)),
    clicks: Array.from({ length: turnSize }, (_, i) => scales[groupOf[i]!]),
  }
}

/** The turn that can be set which is next to this one. */
export const snapped = (u: Float64Array, { clicks }: Panel): Float64Array =>
  u.map((value, i) => {
    const scale = clicks[i]
    return scale === undefined ? value : scale.ofClicks(Math.round(scale.toClicks(value)))
  })

/** The clicks of a turn, a list for each control that moves in clicks: R and B of gains, rg … bg, R, G, B. */
export function clicksOfTurn(turn: Turn, controls: Controls): Partial<Record<ControlGroup, number[]>> {
  const u = numbersOfTurn(turn)
  const { clicks } = panelOf(controls)
  const found: Partial<Record<ControlGroup, number[]>> = {}
  for (const name of controlNames) {
    const places = controlGroups[name]
    const scale = clicks[places[0]]
    if (scale !== undefined) found[name] = places.map((i) => Math.round(scale.toClicks(u[i]!)))
  }
  return found
}
