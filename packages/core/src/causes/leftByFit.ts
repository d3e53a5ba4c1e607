import { cholesky, divideBySquare } from '../solver/cholesky.ts'
import { leastPivot, ridge } from '../solver/tolerances.ts'
import type { Columns } from './columns.ts'

/**
 * What a fit leaves of a nuisance v of its residuals: v − J·(JᵀWJ)⁻¹·JᵀW·v.
 *
 * @param columns of J, each of unit length or so. @param weight one per patch of three residuals.
 */
export function leftByFit(columns: Columns, weight: Float64Array): (v: Float64Array) => Float64Array {
  const m = columns.length
  const weighted = columns.map((column) => column.map((value, i) => value * weight[Math.floor(i / 3)]!))
  const normal = new Float64Array(m * m)
  for (let a = 0; a < m; a++) {
    const by = weighted[a]!
    for (let b = 0; b <= a; b++) normal[a * m + b] = dot(by, columns[b]!)
    normal[a * m + a]! *= 1 + ridge
  }
  cholesky(normal, m, leastPivot)
  const x = new Float64Array(m)
  return (v) => {
    for (let a = 0; a < m; a++) x[a] = dot(weighted[a]!, v)
    divideBySquare(normal, x)
    const left = v.slice()
    for (let a = 0; a < m; a++) {
      const column = columns[a]!
      for (let i = 0; i < left.length; i++) left[i]! -= column[i]! * x[a]!
    }
    return left
  }
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}
