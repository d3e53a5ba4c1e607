import type { Summary } from '../match/result.ts'
import { quantile } from '../quantile.ts'

/** Mean, 95th percentile (linear interpolation between ranks) and worst of ΔE00, one value per patch; at least one. */
export function summarise(values: readonly { readonly patch: string; readonly dE00: number }[]): Summary {
  const sorted = values.map((value) => value.dE00).sort((a, b) => a - b)
  const worst = values.reduce((most, value) => (value.dE00 > most.dE00 ? value : most))
  return {
    mean: sorted.reduce((sum, value) => sum + value, 0) / sorted.length,
    p95: quantile(sorted, 0.95),
    max: worst.dE00,
    worst: worst.patch,
  }
}
