import type { Damped } from './damped.ts'
import type { LeastSquaresProblem } from './leastSquaresProblem.ts'

/** JᵀJ (upper half), Jᵀr, and the scale of each parameter. */
export function normalEquations(
  work: Damped,
  problem: LeastSquaresProblem,
  J: Float64Array,
  r: Float64Array,
  theta: Float64Array,
): void {
  const { m, normal, gradient, scale } = work
  const { prior } = problem
  normal.fill(0)
  gradient.fill(0)
  if (problem.products === undefined) addRows(work, J, r)
  else problem.products(r, J, normal, gradient)
  for (let j = 0; j < m; j++) {
    if (prior !== undefined) {
      const s2 = prior.strength[j]! * prior.strength[j]!
      normal[j * m + j]! += s2
      gradient[j]! += s2 * (theta[j]! - prior.centre[j]!)
      const { form } = prior
      if (form !== undefined) {
        for (let k = j; k < m; k++) normal[j * m + k]! += form[j * m + k]!
        for (let k = 0; k < m; k++) gradient[j]! += form[j * m + k]! * (theta[k]! - prior.centre[k]!)
      }
    }
    const size = Math.sqrt(normal[j * m + j]!)
    // A parameter that moves nothing yet still needs a scale; 1 lets the damping hold it in place.
    scale[j] = Math.max(scale[j]!, size) || 1
  }
}

function addRows({ n, m, normal, gradient }: Damped, J: Float64Array, r: Float64Array): void {
  // Three rows at a time, in pairs: fewer loads and stores of the sums, which is where the time goes.
  let i = 0
  for (; i + 5 < n; i += 6) {
    const one = i * m
    const two = one + m
    const three = two + m
    const four = three + m
    const five = four + m
    const six = five + m
    const r1 = r[i]!
    const r2 = r[i + 1]!
    const r3 = r[i + 2]!
    const r4 = r[i + 3]!
    const r5 = r[i + 4]!
    const r6 = r[i + 5]!
    for (let j = 0; j < m; j++) {
      const a = J[one + j]!
      const b = J[two + j]!
      const c = J[three + j]!
      const d = J[four + j]!
      const e = J[five + j]!
      const f = J[six + j]!
      // What these rows do not depend on adds nothing: of many numbers, as of a line-up with many rounds, most.
      if (a === 0 && b === 0 && c === 0 && d === 0 && e === 0 && f === 0) continue
      gradient[j] = gradient[j]! + (a * r1 + b * r2 + c * r3) + (d * r4 + e * r5 + f * r6)
      const out = j * m
      for (let k = j; k < m; k++) {
        normal[out + k] =
          normal[out + k]! +
          (a * J[one + k]! + b * J[two + k]! + c * J[three + k]!) +
          (d * J[four + k]! + e * J[five + k]! + f * J[six + k]!)
      }
    }
  }
  for (; i + 2 < n; i += 3) {
    const one = i * m
    const two = one + m
    const three = two + m
    const r1 = r[i]!
    const r2 = r[i + 1]!
    const r3 = r[i + 2]!
    for (let j = 0; j < m; j++) {
      const a = J[one + j]!
      const b = J[two + j]!
      const c = J[three + j]!
      gradient[j]! += a * r1 + b * r2 + c * r3
      const out = j * m
      for (let k = j; k < m; k++) normal[out + k]! += a * J[one + k]! + b * J[two + k]! + c * J[three + k]!
    }
  }
  for (; i < n; i++) {
    const row = i * m
    for (let j = 0; j < m; j++) {
      const a = J[row + j]!
      gradient[j]! += a * r[i]!
      for (let k = j; k < m; k++) normal[j * m + k]! += a * J[row + k]!
    }
  }
}
