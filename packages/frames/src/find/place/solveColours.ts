import type { SeenColours } from './cellColour.ts'
import { channels, coloured, type ReferenceTones } from './referenceTones.ts'
import { solveOutput } from './solveOutput.ts'
import type { Veil } from './veilingGlare.ts'

/** 1 for the cells that tell anything. */
export function kept({ missing }: SeenColours, veil: Veil | undefined): Uint8Array {
  return missing.map((one, k) => (one === 1 || veil?.lost[k] === 1 ? 0 : 1))
}

export interface Solution {
  readonly explained: number
  /** Of every cell, in shares of the outputs' variation. */
  readonly residual: Float64Array
}

export function solveColours(
  cells: SeenColours,
  reference: ReferenceTones,
  keep: Uint8Array,
  veil?: Veil,
): Solution {
  const residual = new Float64Array(reference.patches)
  const scores: number[] = []
  let tones = 0
  let judged = 0
  for (const output of channels) {
    const score = solveOutput(cells, reference, keep, output, residual, veil?.level)
    if (score === undefined) continue
    tones += score
    judged++
  }
  if (judged === 0) return { explained: 0, residual }
  scores.push(tones / judged)
  for (const output of coloured(reference.tones, keep)) {
    const score = solveOutput(cells, reference, keep, output, residual, veil?.level)
    if (score !== undefined) scores.push(score)
  }
  return { explained: scores.reduce((sum, score) => sum + score, 0) / scores.length, residual }
}
