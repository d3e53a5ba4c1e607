import { constants } from '../constants.ts'
import { type CellColour, type SeenColours, seenColours } from './cellColour.ts'
import { outputs, type ReferenceTones, type Span } from './referenceTones.ts'
import { kept, solveColours } from './solveColours.ts'
import type { Veil } from './veilingGlare.ts'

/** `whole` of `colourFit` alone. */
export function explainedByAll(
  cells: readonly CellColour[],
  reference: ReferenceTones,
  veilOver?: () => Veil | undefined,
): number {
  const { clear, fullMatrix } = constants.colour
  const seen = seenColours(cells)
  const plain = projected(seen, reference) ?? solveColours(seen, reference, kept(seen, undefined)).explained
  if (plain > clear || reference.patches < fullMatrix) return plain
  const veil = veilOver?.()
  return veil === undefined
    ? plain
    : Math.max(plain, solveColours(seen, reference, kept(seen, veil), veil).explained)
}

/**
 * The same by a projection on what the reference spans, in a twentieth of the time: places by the thousand are looked at
 * on a wall of tiles.
 *
 * @returns `undefined` where cells clip or are missing, or the chart has too few patches or colours
 */
function projected(seen: SeenColours, reference: ReferenceTones): number | undefined {
  const { span, patches } = reference
  if (span === undefined || patches < constants.colour.fullMatrix) return undefined
  for (let k = 0; k < patches; k++) if (seen.clipped[k] !== 0 || seen.missing[k] !== 0) return undefined
  return onSpan(seen.rgb, span, reference)
}

/** For a first look: clipped levels are taken for what they seem, missing ones for the mean of the rest. */
export const roughlyExplained = (cells: readonly CellColour[], reference: ReferenceTones): number =>
  roughFit(seenColours(cells), reference)

/** @param seen is changed */
export function roughFit(seen: SeenColours, reference: ReferenceTones): number {
  const { span, patches } = reference
  if (span === undefined || patches < constants.colour.fullMatrix)
    return solveColours(seen, reference, kept(seen, undefined)).explained
  const { rgb, missing } = seen
  const there = missing.reduce((sum, one) => sum + 1 - one, 0)
  if (there < patches) {
    for (let c = 0; c < 3; c++) {
      let mean = 0
      for (let k = 0; k < patches; k++) if (missing[k] === 0) mean += rgb[3 * k + c]! / there
      for (let k = 0; k < patches; k++) if (missing[k] === 1) rgb[3 * k + c] = mean
    }
  }
  return onSpan(rgb, span, reference)
}

function onSpan(rgb: Float64Array, { basis, back }: Span, reference: ReferenceTones): number {
  const { patches: n, coloured: judged } = reference
  // Of each channel its product with the basis, and of its values' products with each other.
  const dots = new Float64Array(12)
  const squares = new Float64Array(9)
  for (let k = 0; k < n; k++) {
    const r = rgb[3 * k]!
    const g = rgb[3 * k + 1]!
    const b = rgb[3 * k + 2]!
    for (let j = 0; j < 4; j++) {
      const weight = basis[j * n + k]!
      dots[j]! += weight * r
      dots[4 + j]! += weight * g
      dots[8 + j]! += weight * b
    }
    squares[0]! += r * r
    squares[1]! += r * g
    squares[2]! += r * b
    squares[4]! += g * g
    squares[5]! += g * b
    squares[8]! += b * b
  }
  squares[3] = squares[1]!
  squares[6] = squares[2]!
  squares[7] = squares[5]!
  const score = (output: (typeof judged)[number] | 0 | 1 | 2) => {
    const mix = outputs[output]!
    let square = 0
    for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) square += mix[i]! * mix[j]! * squares[3 * i + j]!
    const on = [0, 1, 2, 3].map((j) => mix[0] * dots[j]! + mix[1] * dots[4 + j]! + mix[2] * dots[8 + j]!)
    // The first vector is the constant: what lies along it is the mean.
    const total = square - on[0]! ** 2
    if (!(total > constants.colour.flat * n)) return 0
    const rest = total - on[1]! ** 2 - on[2]! ** 2 - on[3]! ** 2
    const b = on[3]! / back[15]!
    const g = (on[2]! - back[11]! * b) / back[10]!
    const r = (on[1]! - back[6]! * g - back[7]! * b) / back[5]!
    // What the output owes its own counterpart; see the designs of `ReferenceTones`.
    const own = output === 3 ? r - (r + g + b) / 3 : output === 4 ? b - (r + g + b) / 3 : r + g + b
    return own > 0 ? Math.max(0, 1 - ((rest / total) * (n - 1)) / (n - 4)) : 0
  }
  const scores = [(score(0) + score(1) + score(2)) / 3, ...judged.map(score)]
  return scores.reduce((sum, one) => sum + one, 0) / scores.length
}
