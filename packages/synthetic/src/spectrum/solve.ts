/**
 * Solves the square system a·x = b by elimination with row exchange; `a` (row-major, n × n) and `b` are used up.
 * `undefined` when it has no single finite solution. For the few dozen unknowns of `smoothReflectance`.
 */
export function solve(a: Float64Array, b: Float64Array): Float64Array | undefined {
  const n = b.length
  for (let k = 0; k < n; k++) {
    let pivot = k
    for (let i = k + 1; i < n; i++) if (Math.abs(a[i * n + k]!) > Math.abs(a[pivot * n + k]!)) pivot = i
    if (!(Math.abs(a[pivot * n + k]!) > 0)) return undefined
    if (pivot !== k) {
      for (let j = k; j < n; j++) {
        const kept = a[k * n + j]!
        a[k * n + j] = a[pivot * n + j]!
        a[pivot * n + j] = kept
      }
      const kept = b[k]!
      b[k] = b[pivot]!
      b[pivot] = kept
    }
    for (let i = k + 1; i < n; i++) {
      const factor = a[i * n + k]! / a[k * n + k]!
      if (factor === 0) continue
      for (let j = k; j < n; j++) a[i * n + j]! -= factor * a[k * n + j]!
      b[i]! -= factor * b[k]!
    }
  }
  for (let k = n - 1; k >= 0; k--) {
    let sum = b[k]!
    for (let j = k + 1; j < n; j++) sum -= a[k * n + j]! * b[j]!
    b[k] = sum / a[k * n + k]!
  }
  return b.every(Number.isFinite) ? b : undefined
}
