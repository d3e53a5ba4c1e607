import {
  type Controls,
  clicksOfTurn,
  exp2,
  log10,
  pedestalInLight,
  pow,
  type Range,
  type Turn,
  type TurnGroup,
  type TurnStage,
} from '@isochip/core'
import { duvText, miredText } from '../digits.ts'

/** One thing to set at a camera, in the units of its control. */
export interface Instruction {
  readonly group: TurnGroup
  /** What the control is called. */
  readonly control: string
  /** What to do with it, a line each. */
  readonly lines: readonly string[]
  /**
   * What is expected of whoever stops after this one: mean ΔE00, and how much less that is than before. None where it is to be set
   * together with the next.
   */
  readonly outcome?: { readonly expected: number; readonly gain?: number }
}

/** What stands beside matrix terms, so that nobody turns them the wrong way. */
export const matrixConvention = 'to add to the terms k of R′ = R + k·(R − G) + k·(R − B), G′ and B′ alike'

const signed = (value: number, digits: number) => {
  const text = Math.abs(value).toFixed(digits)
  return `${value < 0 && Number(text) !== 0 ? '−' : '+'}${text}`
}

const whole = (value: number) => signed(value, 0)
/** In the order of a turn's terms: rg, rb, gr, gb, br, bg. */
const terms = ['R-G', 'R-B', 'G-R', 'G-B', 'B-R', 'B-G']

/** 700 mV for 100 % of the signal: ITU-R BT.709-6 and the analogue forms before it. */
const millivolts = 700

/** 10-bit codes for 100 % of the signal, a quarter of the 12-bit ones: ITU-R BT.2100-2, table 9. */
const codes: Record<Range, number> = { full: 1023, narrow: 876 }

/**
 * A turn as instructions, in the order in which to set them: what lies before in the camera's chain, or shows in all
 * that follows, comes first.
 *
 * @param stages of the turn. @param range of the camera's encoding: it sets the codes. @param controls how they move: what
 * moves in clicks is said in clicks first
 */
export function instructions(
  turn: Turn,
  stages: readonly TurnStage[],
  range: Range,
  controls: Controls = {},
): Instruction[] {
  const clicks = clicksOfTurn(turn, controls)
  return stages.map((stage): Instruction => {
    const { group, expected, gain, together } = stage
    return {
      group,
      ...wordsOf(stage, turn, range, controls, clicks),
      ...(together ? {} : { outcome: { expected, ...(gain === undefined ? {} : { gain }) } }),
    }
  })
}

/** What the control is called, and what to do with it, a line each. */
function wordsOf(
  { group, filter }: TurnStage,
  turn: Turn,
  range: Range,
  controls: Controls,
  clicks: ReturnType<typeof clicksOfTurn>,
): Pick<Instruction, 'control' | 'lines'> {
  const counted = group === 'flare' || group === 'gamma' ? undefined : clicks[group]
  if (group === 'pedestal') {
    const { pedestal } = controls
    const stacked = pedestal !== undefined && pedestal !== 'none' && pedestal.channels === 'master-red-blue'
    const rowOf = ([r, g, b]: readonly number[], of: (value: number) => string) =>
      stacked
        ? `master ${of(g!)}  R ${of(r! - g!)}  B ${of(b! - g!)}`
        : `R ${of(r!)}  G ${of(g!)}  B ${of(b!)}`
    const row = (of: (value: number) => string) => rowOf(turn.pedestal, of)
    const clicked = counted === undefined ? [] : [`${rowOf(counted, whole)}  clicks`]
    if (pedestalInLight(controls)) {
      const lines = [...clicked, `${row((value) => signed(100 * value, 2))}  % of white, in light`]
      return { control: 'pedestal', lines }
    }
    return {
      control: 'pedestal',
      lines: [
        ...clicked,
        `${row((value) => signed(100 * value, 1))}  % of the signal`,
        `${row((value) => signed(millivolts * value, 0))}  mV`,
        `${row((value) => signed(codes[range] * value, 0))}  10-bit codes`,
        `${row((value) => signed(4 * codes[range] * value, 0))}  12-bit codes`,
      ],
    }
  }
  if (group === 'flare') {
    const { flare = 0 } = turn
    return {
      control: 'flare',
      lines: [
        `${signed(100 * flare, 2)} % of white, in light, all channels`,
        `near black ${signed(450 * flare, 1)} % of the signal`,
      ],
    }
  }
  if (group === 'gamma') {
    const { gamma = 1 } = turn
    // The exponent of the curve's upper part and 18 % grey by it: ITU-R BT.709-6, item 1.2.
    const grey = (power: number) => 100 * (1.099 * pow(0.18, 0.45 * power) - 0.099)
    return {
      control: 'gamma',
      lines: [
        `exponent × ${gamma.toFixed(3)}, as 0.45 to ${(0.45 * gamma).toFixed(3)}`,
        `18 % grey ${signed(grey(gamma) - grey(1), 1)} % of the signal; white stays`,
      ],
    }
  }
  if (group === 'exposure') {
    const { exposure } = turn
    return {
      control: 'exposure',
      lines: [
        ...(counted === undefined
          ? []
          : [
              `${exposure < 0 ? 'close' : 'open'} ${Math.abs(counted[0]!)} click${Math.abs(counted[0]!) === 1 ? '' : 's'}`,
            ]),
        `${exposure < 0 ? 'close' : 'open'} ${Math.abs(exposure).toFixed(2)} stop (${signed(20 * log10(exp2(exposure)), 1)} dB)`,
      ],
    }
  }
  if (group === 'gains') {
    const gain = (name: string, value: number) =>
      `${name} ${signed(100 * (value - 1), 1)} % (${signed(20 * log10(value), 2)} dB)`
    return {
      control: 'white balance gains',
      lines: [
        ...(counted === undefined ? [] : [`R ${whole(counted[0]!)}  B ${whole(counted[1]!)}  clicks`]),
        `${gain('R', turn.red)}  ${gain('B', turn.blue)}`,
        ...filterWords(filter),
      ],
    }
  }
  const { rg, rb, gr, gb, br, bg } = turn.matrix
  // A term that brings green into red takes R − G with the other sign.
  const term = (name: string, value: number) => `${name} ${signed(-value, 3)}`
  return {
    control: 'matrix',
    lines: [
      ...(counted === undefined
        ? []
        : [`${terms.map((name, i) => `${name} ${whole(-counted[i]!)}`).join('  ')}  clicks`]),
      [term('R-G', rg), term('R-B', rb), term('G-R', gr)].join('  '),
      [term('G-B', gb), term('B-R', br), term('B-G', bg)].join('  '),
    ],
  }
}

/** The balance of white as a filter or a lamp has it; less than half a mired is nothing. */
function filterWords(filter: TurnStage['filter']): string[] {
  if (filter === undefined) return []
  const { mired, tint } = filter
  const warmth =
    Math.abs(mired) < 0.5 ? [] : [`${miredText(Math.abs(mired))} mired ${mired > 0 ? 'warmer' : 'cooler'}`]
  const green = Math.abs(tint) < 0.05 ? [] : [`${duvText(tint)} Duv ${tint > 0 ? 'greener' : 'more magenta'}`]
  const both = [...warmth, ...green]
  return both.length === 0 ? [] : [`as light: ${both.join(', ')}`]
}
