import type { Summary } from '../match/result.ts'

/** Mean, 95th percentile (linear interpolation between ranks) and worst of ΔE00, one value a patch; at least one. */
export function summarise(values: readonly { readonly patch: string; readonly dE00: number }[]): Summary {
  const sorted = values.map((value) => value.dE00).sort((a, b) => a - b)
  const at = 0.95 * (sorted.length - 1)
  const below = Math.floor(at)
  const worst = values.reduce((most, value) => (value.dE00 > most.dE00 ? value : most))
  return {
    mean: sorted.reduce((sum, value) => sum + value, 0) / sorted.length,
    p95: sorted[below]! + (at - below) * (sorted[Math.ceil(at)]! - sorted[below]!),
    max: worst.dE00,
    worst: worst.patch,
  }
}
