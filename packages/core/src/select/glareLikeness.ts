import { norm } from '../elementary/norm.ts'
import { pow } from '../elementary/pow.ts'
import type { ResidualSlopes } from '../fit/residualSlopes.ts'

/**
 * By patch: how much its residual looks like light of the lamp's colour added to it, 0…1. A reflection moves a patch
 * along one line of its three residuals, and one way; what two sensors see differently goes anywhere. The fourth power of
 * the cosine between the residual and that line, 0 where less light than there is would be needed.
 */
export function glareLikeness({ residuals, bySource }: ResidualSlopes): Float64Array {
  return Float64Array.from({ length: residuals.length / 3 }, (_, p) => {
    const r = residuals.subarray(3 * p, 3 * p + 3)
    const s = bySource.subarray(9 * p, 9 * p + 9)
    const slope = [0, 1, 2].map((row) => s[3 * row]! + s[3 * row + 1]! + s[3 * row + 2]!)
    const along = slope.reduce((sum, value, i) => sum + value * r[i]!, 0)
    return along > 0 ? pow(along / (norm(r) * norm(slope)), 4) : 0
  })
}
