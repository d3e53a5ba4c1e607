import type { Summary } from '@isochip/core'

/** Mean, 95th percentile (linear interpolation between ranks) and worst of figures by patch; at least one of them. */
export function summaryOf(figures: readonly { readonly patch: string; readonly dE00: number }[]): Summary {
  const sorted = [...figures].sort((a, b) => a.dE00 - b.dE00)
  const rank = 0.95 * (sorted.length - 1)
  const low = sorted[Math.floor(rank)]!.dE00
  const high = sorted[Math.ceil(rank)]!.dE00
  const worst = sorted.at(-1)!
  return {
    mean: sorted.reduce((sum, { dE00 }) => sum + dE00, 0) / sorted.length,
    p95: low + (rank - Math.floor(rank)) * (high - low),
    max: worst.dE00,
    worst: worst.patch,
  }
}
