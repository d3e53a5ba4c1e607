/** Sweeps of Jacobi rotations after which a 3×3 matrix is diagonal to rounding; convergence is quadratic. */
const mostSweeps = 12

/**
 * A^(−1/2) of a symmetric, positive semidefinite 3×3 matrix, row-major, by Jacobi's rotations (G. H. Golub,
 * C. F. Van Loan, Matrix Computations, section 8.5). Directions whose eigenvalue is `least` or less come out as zero.
 *
 * @param a is overwritten
 * @param out may not be `a`
 * @param v nine numbers to work on: becomes the eigenvectors, as columns
 */
export function inverseRoot3(a: Float64Array, least: number, out: Float64Array, v: Float64Array): void {
  v.fill(0)
  v[0] = 1
  v[4] = 1
  v[8] = 1
  for (let sweep = 0; sweep < mostSweeps; sweep++) {
    const off = Math.abs(a[1]!) + Math.abs(a[2]!) + Math.abs(a[5]!)
    const size = Math.abs(a[0]!) + Math.abs(a[4]!) + Math.abs(a[8]!)
    if (!(off > 1e-17 * size)) break
    rotate(a, v, 0, 1)
    rotate(a, v, 0, 2)
    rotate(a, v, 1, 2)
  }
  out.fill(0)
  for (let k = 0; k < 3; k++) {
    const value = a[4 * k]!
    if (!(value > least)) continue
    const root = 1 / Math.sqrt(value)
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) out[3 * i + j]! += root * v[3 * i + k]! * v[3 * j + k]!
    }
  }
}

/** Turn rows and columns p and q so that a[p, q] is zero, and the vectors (columns of `v`) with them. */
function rotate(a: Float64Array, v: Float64Array, p: number, q: number): void {
  const apq = a[3 * p + q]!
  if (apq === 0) return
  const tau = (a[4 * q]! - a[4 * p]!) / (2 * apq)
  const t = (tau >= 0 ? 1 : -1) / (Math.abs(tau) + Math.sqrt(1 + tau * tau))
  const c = 1 / Math.sqrt(1 + t * t)
  const s = t * c
  a[4 * p]! -= t * apq
  a[4 * q]! += t * apq
  a[3 * p + q] = 0
  a[3 * q + p] = 0
  const r = 3 - p - q
  const arp = a[3 * r + p]!
  const arq = a[3 * r + q]!
  a[3 * r + p] = c * arp - s * arq
  a[3 * r + q] = s * arp + c * arq
  a[3 * p + r] = a[3 * r + p]!
  a[3 * q + r] = a[3 * r + q]!
  for (let k = 0; k < 3; k++) {
    const vp = v[3 * k + p]!
    const vq = v[3 * k + q]!
    v[3 * k + p] = c * vp - s * vq
    v[3 * k + q] = s * vp + c * vq
  }
}
