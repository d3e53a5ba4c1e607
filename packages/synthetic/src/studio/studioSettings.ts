import type { Mat3, Vec3 } from '@isochip/core'
import { pow } from '@isochip/core'

/** What somebody turns at a studio camera between two shots. */
export interface StudioTurn {
  /** Stops. */
  readonly exposure: number
  /** Factors on the gains of red and blue. */
  readonly red: number
  readonly blue: number
  /** What is added to the six terms of the camera's own matrix: green into red, … */
  readonly matrix: Readonly<Record<'rg' | 'rb' | 'gr' | 'gb' | 'br' | 'bg', number>>
  /** What is added to each channel's pedestal, as a fraction of the nominal signal. */
  readonly pedestal: Vec3
  /** Light that is added to all channels before the curve, as a share of white. */
  readonly flare?: number
  /** Factor on the exponent of the light before the curve. */
  readonly gamma?: number
}

/** How the controls of a studio camera stand. */
export interface StudioSettings {
  /** Stops. */
  readonly exposure: number
  /** Gains of red and blue; green is 1. */
  readonly red: number
  readonly blue: number
  /** The camera's own, adjustable matrix; rows sum to 1. */
  readonly matrix: Mat3
  /** Fractions of the nominal signal. */
  readonly pedestal: Vec3
  /** What the flare control adds to the light of all channels before the curve, as a share of white; default nothing. */
  readonly flare?: number
  /** What the gamma control makes of the light before the curve: its exponent; default 1. */
  readonly gamma?: number
}

/** A number for each kind of control. */
export interface PerControl {
  readonly exposure: number
  readonly gains: number
  readonly matrix: number
  readonly pedestal: number
}

/**
 * The settings after a turn.
 *
 * @param acts how much of what is asked each control does; default all. @param steps in which it moves; 0 and default: none
 */
export function turned(
  settings: StudioSettings,
  asked: StudioTurn,
  acts: PerControl = { exposure: 1, gains: 1, matrix: 1, pedestal: 1 },
  steps: PerControl = { exposure: 0, gains: 0, matrix: 0, pedestal: 0 },
): StudioSettings {
  const stepped = (value: number, step: number) => (step > 0 ? Math.round(value / step) * step : value)
  const gain = (factor: number) => 1 + stepped(pow(factor, acts.gains) - 1, steps.gains)
  const term = (name: keyof StudioTurn['matrix']) => stepped(acts.matrix * asked.matrix[name], steps.matrix)
  const [rg, rb, gr, gb, br, bg] = [term('rg'), term('rb'), term('gr'), term('gb'), term('br'), term('bg')]
  const { matrix, pedestal } = settings
  const raised = (c: 0 | 1 | 2) => pedestal[c] + stepped(acts.pedestal * asked.pedestal[c], steps.pedestal)
  return {
    exposure: settings.exposure + stepped(acts.exposure * asked.exposure, steps.exposure),
    red: settings.red * gain(asked.red),
    blue: settings.blue * gain(asked.blue),
    matrix: [
      [matrix[0][0] - rg - rb, matrix[0][1] + rg, matrix[0][2] + rb],
      [matrix[1][0] + gr, matrix[1][1] - gr - gb, matrix[1][2] + gb],
      [matrix[2][0] + br, matrix[2][1] + bg, matrix[2][2] - br - bg],
    ],
    pedestal: [raised(0), raised(1), raised(2)],
    flare: (settings.flare ?? 0) + (asked.flare ?? 0),
    gamma: (settings.gamma ?? 1) * (asked.gamma ?? 1),
  }
}
