/** The value below which `share` of the values lie: linear between ranks. @param sorted rising, one or more. */
export function quantile(sorted: ArrayLike<number>, share: number): number {
  const at = share * (sorted.length - 1)
  const below = Math.floor(at)
  return sorted[below]! + (at - below) * (sorted[Math.ceil(at)]! - sorted[below]!)
}
