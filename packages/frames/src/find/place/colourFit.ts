import { constants } from '../constants.ts'
import { type CellColour, type SeenColours, seenColours } from './cellColour.ts'
import type { ReferenceTones } from './referenceTones.ts'
import { kept, type Solution, solveColours } from './solveColours.ts'
import type { Veil } from './veilingGlare.ts'

export interface ColourFit {
  /**
   * Share of the cells' variation in tone (mean of the channels) and in the two colour differences that the
   * reference explains, after the best affine change of colour (exposure, white balance, contrast, flare,
   * crosstalk): mean of the three, freed of what as many parameters explain by chance. 1 at best; about 0 for
   * colours that have nothing to do with it.
   */
  readonly explained: number
  /**
   * The same with no cell left out; `explained` leaves out the worst eighth as spoilt by glare or dirt, or, where the
   * rest then fits all the better, the worst two fifths.
   */
  readonly whole: number
}

/**
 * How well a reference explains the colours of cells. A channel that clips says no more than that its level is at
 * least the clipping one, and a colour difference with one clipped channel on which side of its value it is.
 *
 * @param cells one per patch of the reference, in its order
 * @param veilOver light that lies over the cells; asked for when they do not fit without it
 */
export function colourFit(
  cells: readonly CellColour[],
  reference: ReferenceTones,
  veilOver?: () => Veil | undefined,
): ColourFit {
  const { clear, fullMatrix, trustedWhole } = constants.colour
  const seen = seenColours(cells)
  const plain = trimmedFit(seen, reference, undefined)
  const veil = plain.explained > clear || reference.patches < fullMatrix ? undefined : veilOver?.()
  const veiled = veil === undefined ? plain : trimmedFit(seen, reference, veil)
  const whole = Math.max(plain.whole, veiled.whole)
  const explained = Math.max(plain.explained, veiled.explained)
  return { whole, explained: whole < trustedWhole ? explained : Math.max(explained, plain.best) }
}

function trimmedFit(
  cells: SeenColours,
  reference: ReferenceTones,
  veil: Veil | undefined,
): ColourFit & { readonly best: number } {
  const { spoilt, glared, fullMatrix, hopeless, rounds, distrust } = constants.colour
  const n = reference.patches
  const all = kept(cells, veil)
  const first = solveColours(cells, reference, all, veil)
  const drop = Math.floor(spoilt * n)
  if (drop === 0) return { whole: first.explained, explained: first.explained, best: 0 }
  const trimmed = solveColours(cells, reference, withoutWorst(first, drop, all), veil)
  const explained = Math.max(first.explained, trimmed.explained)
  const rest = Math.floor(glared * n)
  if (veil !== undefined || n - rest < fullMatrix || explained < hopeless)
    return { whole: first.explained, explained, best: 0 }
  let half = trimmed
  for (let round = 0; round < rounds; round++)
    half = solveColours(cells, reference, withoutWorst(half, rest, all), veil)
  return { whole: first.explained, explained, best: 1 - distrust * (1 - half.explained) }
}

/** The cells but those with the largest residuals. */
function withoutWorst({ residual }: Solution, count: number, cells: Uint8Array): Uint8Array {
  const keep = cells.slice()
  const ranked = [...keep.keys()].filter((k) => cells[k] === 1).sort((a, b) => residual[b]! - residual[a]!)
  for (const k of ranked.slice(0, count)) keep[k] = 0
  return keep
}
