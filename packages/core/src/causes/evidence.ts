/** A covariance, n×n row-major, from weighted columns, added to what is there. */
export function addColumns(
  K: Float64Array,
  n: number,
  columns: readonly Float64Array[],
  variance: number,
): void {
  for (const column of columns) {
    for (let i = 0; i < n; i++) {
      const value = variance * column[i]!
      if (value === 0) continue
      const row = i * n
      for (let j = 0; j <= i; j++) K[row + j]! += value * column[j]!
    }
  }
}

/** Lower triangle L with L·Lᵀ = K, in place. */
export function factor(K: Float64Array, n: number): void {
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let sum = K[i * n + j]!
      const a = i * n
      const b = j * n
      for (let k = 0; k < j; k++) sum -= K[a + k]! * K[b + k]!
      if (i === j) K[a + i] = Math.sqrt(Math.max(sum, 1e-12))
      else K[a + j] = sum / K[b + j]!
    }
  }
}

/** L⁻¹·v. */
export function forward(L: Float64Array, n: number, v: Float64Array): Float64Array {
  const out = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    let sum = v[i]!
    for (let k = 0; k < i; k++) sum -= L[i * n + k]! * out[k]!
    out[i] = sum / L[i * n + i]!
  }
  return out
}

/** L⁻ᵀ·v. */
export function backward(L: Float64Array, n: number, v: Float64Array): Float64Array {
  const out = new Float64Array(n)
  for (let i = n - 1; i >= 0; i--) {
    let sum = v[i]!
    for (let k = i + 1; k < n; k++) sum -= L[k * n + i]! * out[k]!
    out[i] = sum / L[i * n + i]!
  }
  return out
}

/** The logarithm of the probability density of y under the covariance L·Lᵀ, but for a constant. */
export function logEvidence(L: Float64Array, n: number, y: Float64Array): number {
  let sum = 0
  for (let i = 0; i < n; i++) sum -= Math.log(L[i * n + i]!)
  for (const value of forward(L, n, y)) sum -= (value * value) / 2
  return sum
}
