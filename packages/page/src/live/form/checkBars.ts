import { map3, type Vec3 } from '@isochip/core'
import type { Planes } from './planes.ts'
import { codesOf, lumaOf, type SignalForm, signalMatrices } from './signalForm.ts'

/** What colour bars say of a signal; undefined where no bars are seen, or more than one reading of them fits. */
export interface BarsVerdict {
  /** Of R′G′B′ frames its matrix says nothing. */
  readonly form: SignalForm
  /** Level of the bars: 0.75 or 1. */
  readonly level: number
  /** Root mean square distance of the bars from what they should be, in codes of 8 bits. */
  readonly off: number
}

/** White to blue, in the order of falling luma: SMPTE RP 219, ITU-R BT.471. */
const colours = [
  [1, 1, 1],
  [1, 1, 0],
  [0, 1, 1],
  [0, 1, 0],
  [1, 0, 1],
  [1, 0, 0],
  [0, 0, 1],
] as const

/**
 * Where the seven bars lie across the frame: eight equal ones with black the last; seven equal ones; seven over the middle
 * three quarters between grey flanks (SMPTE RP 219).
 */
const layouts = [
  { from: 0, bar: 1 / 8 },
  { from: 0, bar: 1 / 7 },
  { from: 1 / 8, bar: 3 / 28 },
]

/** Bars are seen where they lie no further than this from a reading of them, codes of 8 bits. */
const nearest = 4
/** A reading is told from the next one by this ratio. */
const clearly = 2

/** Matrix and range of a signal by the upper part of colour bars of 75 or 100 %. */
export function checkBars(planes: Planes): BarsVerdict | undefined {
  const tried = layouts.flatMap(({ from, bar }) => {
    const seen = colours.map((_, i) => meanOf(planes, from + bar * (i + 0.3), from + bar * (i + 0.7)))
    return forms(planes.kind).flatMap((form) =>
      ([0.75, 1] as const).flatMap((level) =>
        // The white of full-field bars of 75 % is often 100 % (100/0/75/0).
        (level === 1 ? [1] : [level, 1]).map((white) => ({
          form,
          level,
          off: rms(seen, barCodes(planes.kind, form, level, white)),
        })),
      ),
    )
  })
  tried.sort((a, b) => a.off - b.off)
  const [best] = tried
  if (best === undefined || best.off > nearest) return undefined
  const other = tried.find(({ form }) => form.matrix !== best.form.matrix || form.range !== best.form.range)
  return other !== undefined && other.off < clearly * best.off ? undefined : best
}

const forms = (kind: Planes['kind']): readonly SignalForm[] =>
  (['narrow', 'full'] as const).flatMap((range) =>
    (kind === 'rgb' ? (['bt709'] as const) : signalMatrices).map((matrix) => ({ matrix, range })),
  )

/** Codes of 8 bits that the bars have in a form of signal. */
function barCodes(
  kind: Planes['kind'],
  { matrix, range }: SignalForm,
  level: number,
  white: number,
): readonly Vec3[] {
  const { black, peak, reach } = codesOf(range)
  const [kr, kg, kb] = lumaOf[matrix]
  return colours.map(([r, g, b], i): Vec3 => {
    const by = i === 0 ? white : level
    if (kind === 'rgb') return [black + peak * by * r, black + peak * by * g, black + peak * by * b]
    const y = kr * r + kg * g + kb * b
    return [
      black + peak * by * y,
      128 + (reach * by * (b - y)) / (2 * (1 - kb)),
      128 + (reach * by * (r - y)) / (2 * (1 - kr)),
    ]
  })
}

function rms(seen: readonly Vec3[], due: readonly Vec3[]): number {
  let sum = 0
  for (const [i, one] of seen.entries()) for (let c = 0; c < 3; c++) sum += (one[c]! - due[i]![c]!) ** 2
  return Math.sqrt(sum / (3 * seen.length))
}

/** Mean codes of 8 bits between two fractions of the width, in the upper half of the frame. */
function meanOf({ width, height, bits, samples, across, down }: Planes, left: number, right: number): Vec3 {
  return map3([0, 1, 2], (_, c) => {
    const plane = samples[c]
    const w = c === 0 ? width : Math.ceil(width / across)
    const h = c === 0 ? height : Math.ceil(height / down)
    let sum = 0
    let count = 0
    for (let y = Math.floor(0.1 * h); y < 0.5 * h; y++)
      for (let x = Math.ceil(left * w); x < right * w; x++, count++) sum += plane[y * w + x]!
    return sum / Math.max(count, 1) / 2 ** (bits - 8)
  })
}
