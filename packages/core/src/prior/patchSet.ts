import { ciede2000Jet, jetSize } from '../colour/ciede2000.ts'
import { type Viewing, viewLab, viewLabSlope } from '../colour/viewing.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { rootPolynomialSlopes, rootPolynomialValues } from '../model/rootPolynomial.ts'

/** Patches with their terms worked out, since the lift is held. */
export interface PatchSet {
  /** Σ weight · ΔE00²; adds JᵀJ (lower half) and Jᵀr where asked for. */
  add(theta: Float64Array, normal?: Float64Array, gradient?: Float64Array): number
  addOne(p: number, theta: Float64Array, normal?: Float64Array, gradient?: Float64Array): number
  /** How Jᵀr changes at θ where the patches' light becomes another than `source` and `target`: adds to its last argument. */
  movesAt(
    theta: Float64Array,
    source: Float64Array,
    target: Float64Array,
  ): (source: Float64Array, target: Float64Array, gradient: Float64Array) => void
}

export function patchSet(
  source: Float64Array,
  target: Float64Array,
  weight: Float64Array,
  lift: Vec3,
  terms: readonly (readonly [number, number, number])[],
  viewing: Viewing,
): PatchSet {
  const count = weight.length
  const k = 3 + terms.length
  const features = new Float64Array(count * k)
  const aim = new Float64Array(3 * count)
  const lab = new Float64Array(3)
  const labSlope = new Float64Array(9)
  const jet = new Float64Array(jetSize)
  const r = new Float64Array(3)
  const slope = new Float64Array(9)
  for (let p = 0; p < count; p++) {
    featuresOf(source[3 * p]!, source[3 * p + 1]!, source[3 * p + 2]!, lift, terms, features, p * k)
    viewLab(viewing, target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!, lab)
    aim.set(lab, 3 * p)
  }
  const residuals = (p: number, theta: Float64Array) => {
    const f = p * k
    let x = 0
    let y = 0
    let z = 0
    for (let i = 0; i < k; i++) {
      const value = features[f + i]!
      x += theta[i]! * value
      y += theta[k + i]! * value
      z += theta[2 * k + i]! * value
    }
    viewLabSlope(viewing, x, y, z, lab, labSlope)
    ciede2000Jet(lab[0]!, lab[1]!, lab[2]!, aim[3 * p]!, aim[3 * p + 1]!, aim[3 * p + 2]!, r, 0, jet)
  }
  const addOne: PatchSet['addOne'] = (p, theta, normal, gradient) => {
    const w = weight[p]!
    residuals(p, theta)
    if (gradient !== undefined) {
      slopesOf()
      const f = p * k
      const m = 3 * k
      for (let c = 0; c < 3; c++) {
        const along = w * (slope[c]! * r[0]! + slope[3 + c]! * r[1]! + slope[6 + c]! * r[2]!)
        for (let i = 0; i < k; i++) gradient[c * k + i]! += along * features[f + i]!
        if (normal === undefined) continue
        for (let d = 0; d <= c; d++) {
          const both =
            w * (slope[c]! * slope[d]! + slope[3 + c]! * slope[3 + d]! + slope[6 + c]! * slope[6 + d]!)
          for (let i = 0; i < k; i++) {
            const part = both * features[f + i]!
            const row = (c * k + i) * m + d * k
            const end = c === d ? i : k - 1
            for (let j = 0; j <= end; j++) normal[row + j]! += part * features[f + j]!
          }
        }
      }
    }
    return w * (r[0]! * r[0]! + r[1]! * r[1]! + r[2]! * r[2]!)
  }
  // JᵀJ of all patches is a sum of products of features, each times one of the six products of slopes: where many patches
  // are summed, these are summed as they are, lower halves one after another.
  const half = (k * (k + 1)) / 2
  let products: Float64Array | undefined
  let sums: Float64Array | undefined
  const squares = new Float64Array(6 * count)
  const keepSquares = (p: number) => {
    const w = weight[p]!
    const a = slope[0]!
    const b = slope[1]!
    const c = slope[2]!
    const d = slope[3]!
    const e = slope[4]!
    const f = slope[5]!
    const g = slope[6]!
    const h = slope[7]!
    const i = slope[8]!
    const at = 6 * p
    squares[at] = w * (a * a + d * d + g * g)
    squares[at + 1] = w * (b * a + e * d + h * g)
    squares[at + 2] = w * (b * b + e * e + h * h)
    squares[at + 3] = w * (c * a + f * d + i * g)
    squares[at + 4] = w * (c * b + f * e + i * h)
    squares[at + 5] = w * (c * c + f * f + i * i)
  }
  const addSquares = () => {
    products ??= productsOf(features, count, k)
    sums ??= new Float64Array(6 * half)
    sums.fill(0)
    for (let block = 0; block < 6; block++) {
      const to = block * half
      let p = 0
      for (; p + 3 < count; p += 4) {
        const a = squares[6 * p + block]!
        const b = squares[6 * p + 6 + block]!
        const c = squares[6 * p + 12 + block]!
        const d = squares[6 * p + 18 + block]!
        const one = p * half
        const two = one + half
        const three = two + half
        const four = three + half
        for (let i = 0; i < half; i++) {
          sums[to + i]! +=
            a * products[one + i]! +
            b * products[two + i]! +
            c * products[three + i]! +
            d * products[four + i]!
        }
      }
      for (; p < count; p++) {
        const a = squares[6 * p + block]!
        for (let i = 0; i < half; i++) sums[to + i]! += a * products[p * half + i]!
      }
    }
  }
  const unpack = (normal: Float64Array) => {
    if (sums === undefined) return
    const m = 3 * k
    for (let c = 0, block = 0; c < 3; c++) {
      for (let d = 0; d <= c; d++, block++) {
        for (let i = 0, at = block * half; i < k; i++) {
          for (let j = 0; j <= i; j++, at++) {
            normal[(c * k + i) * m + d * k + j]! += sums[at]!
            if (i !== j && c !== d) normal[(c * k + j) * m + d * k + i]! += sums[at]!
          }
        }
      }
    }
  }
  const slopesOf = () => {
    for (let c = 0; c < 3; c++) {
      slope[c] = jet[0]! * labSlope[c]!
      slope[3 + c] = jet[1]! * labSlope[3 + c]! + jet[2]! * labSlope[6 + c]!
      slope[6 + c] = jet[3]! * labSlope[3 + c]! + jet[4]! * labSlope[6 + c]!
    }
  }
  return {
    addOne,
    add(theta, normal, gradient) {
      let sum = 0
      for (let p = 0; p < count; p++) {
        sum += addOne(p, theta, undefined, gradient)
        if (normal !== undefined) keepSquares(p)
      }
      if (normal !== undefined) {
        addSquares()
        unpack(normal)
      }
      return sum
    },
    movesAt(theta, from, to) {
      // By patch: weight · SᵀS, S = ∂residual/∂output, and ∂output/∂source.
      const square = new Float64Array(9 * count)
      const through = new Float64Array(9 * count)
      const termSlopes = new Float64Array(3 * terms.length)
      for (let p = 0; p < count; p++) {
        residuals(p, theta)
        slopesOf()
        for (let c = 0; c < 3; c++) {
          for (let d = 0; d < 3; d++) {
            square[9 * p + 3 * c + d] =
              weight[p]! *
              (slope[c]! * slope[d]! + slope[3 + c]! * slope[3 + d]! + slope[6 + c]! * slope[6 + d]!)
          }
        }
        rootPolynomialSlopes(terms, features.subarray(p * k, (p + 1) * k), termSlopes)
        for (let c = 0; c < 3; c++) {
          for (let d = 0; d < 3; d++) {
            let sum = theta[c * k + d]!
            for (let i = 0; i < terms.length; i++) sum += theta[c * k + 3 + i]! * termSlopes[3 * i + d]!
            through[9 * p + 3 * c + d] = sum
          }
        }
      }
      return (now, aims, gradient) => {
        for (let p = 0; p < count; p++) {
          const x = 3 * p
          const y = x + 1
          const z = x + 2
          const dx = now[x]! - from[x]!
          const dy = now[y]! - from[y]!
          const dz = now[z]! - from[z]!
          const t = 9 * p
          const u = to[x]! - aims[x]! + through[t]! * dx + through[t + 1]! * dy + through[t + 2]! * dz
          const v = to[y]! - aims[y]! + through[t + 3]! * dx + through[t + 4]! * dy + through[t + 5]! * dz
          const w = to[z]! - aims[z]! + through[t + 6]! * dx + through[t + 7]! * dy + through[t + 8]! * dz
          const one = square[t]! * u + square[t + 1]! * v + square[t + 2]! * w
          const two = square[t + 3]! * u + square[t + 4]! * v + square[t + 5]! * w
          const three = square[t + 6]! * u + square[t + 7]! * v + square[t + 8]! * w
          const f = p * k
          for (let i = 0; i < k; i++) {
            const value = features[f + i]!
            gradient[i]! += one * value
            gradient[k + i]! += two * value
            gradient[2 * k + i]! += three * value
          }
        }
      }
    },
  }
}

/** r, g, b after the lift, and their terms, into `out[at…]`. */
function featuresOf(
  r: number,
  g: number,
  b: number,
  lift: Vec3,
  terms: readonly (readonly [number, number, number])[],
  out: Float64Array,
  at: number,
): void {
  const x = r + lift[0]
  const y = g + lift[1]
  const z = b + lift[2]
  out[at] = x
  out[at + 1] = y
  out[at + 2] = z
  rootPolynomialValues(terms, x, y, z, out, at + 3)
}

/** By patch: the products of its features with each other, the lower half row by row. */
function productsOf(features: Float64Array, count: number, k: number): Float64Array {
  const products = new Float64Array((count * k * (k + 1)) / 2)
  for (let p = 0, at = 0; p < count; p++) {
    for (let i = 0; i < k; i++) {
      for (let j = 0; j <= i; j++) products[at++] = features[p * k + i]! * features[p * k + j]!
    }
  }
  return products
}
