import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
import { norm } from '../elementary/norm.ts'
import { apply3, invert3, map3, type Vec3 } from '../linear/mat3.ts'
import { type Design, type DesignInput, outputByOutput } from './design.ts'
import type { MatchModel } from './model.ts'
import { rootPolynomialSlopes, rootPolynomialTerms, rootPolynomialValues } from './rootPolynomial.ts'

/**
 * `root-polynomial-2` and `-3`, with lift: y = C·ρ(x + l), θ = C row by row, then l. The gain of the model is found
 * afterwards (`toModel`), so that it alone carries exposure and white balance as in the other kinds.
 */
export function rootPolynomialDesign(
  { samples }: DesignInput,
  kind: 'root-polynomial-2' | 'root-polynomial-3',
): Design {
  const { source } = samples
  const terms = rootPolynomialTerms(kind)
  const columns = 3 + terms.length
  const parameters = 3 * columns + 3
  const liftAt = 3 * columns
  const values = new Float64Array(columns)

  const features = (theta: Float64Array, p: number) => {
    const r = source[3 * p]! + theta[liftAt]!
    const g = source[3 * p + 1]! + theta[liftAt + 1]!
    const b = source[3 * p + 2]! + theta[liftAt + 2]!
    values[0] = r
    values[1] = g
    values[2] = b
    rootPolynomialValues(terms, r, g, b, values, 3)
  }

  const input = new Float64Array(9)
  const termSlopes = new Float64Array(3 * terms.length)
  const inputSlope = (theta: Float64Array, p: number, out: Float64Array) => {
    features(theta, p)
    rootPolynomialSlopes(terms, values, termSlopes)
    for (let c = 0; c < 3; c++) {
      const C = c * columns
      for (let k = 0; k < 3; k++) {
        let sum = theta[C + k]!
        for (let i = 0; i < terms.length; i++) sum += theta[C + 3 + i]! * termSlopes[3 * i + k]!
        out[3 * c + k] = sum
      }
    }
  }

  return {
    kind,
    parameters,
    columns,
    prepare: () => true,
    output(theta, p, out) {
      features(theta, p)
      for (let c = 0; c < 3; c++) {
        let sum = 0
        for (let i = 0; i < columns; i++) sum += theta[c * columns + i]! * values[i]!
        out[c] = sum
      }
    },
    inputSlope,
    chain(theta, p, slope, jacobian, at) {
      inputSlope(theta, p, input)
      for (let row = 0; row < 3; row++) {
        const to = at + row * parameters
        for (let c = 0; c < 3; c++) {
          const s = slope[3 * row + c]!
          for (let i = 0; i < columns; i++) jacobian[to + c * columns + i] = s * values[i]!
        }
        // The lift is added to the light before anything else.
        for (let k = 0; k < 3; k++) {
          jacobian[to + liftAt + k] =
            slope[3 * row]! * input[k]! +
            slope[3 * row + 1]! * input[3 + k]! +
            slope[3 * row + 2]! * input[6 + k]!
        }
      }
    },
    linear: {
      columns,
      rowsPerPatch: 1,
      rows(out, width) {
        const none = new Float64Array(parameters)
        for (let p = 0; p < samples.count; p++) {
          features(none, p)
          out.set(values, p * width)
        }
      },
      theta: (solution) => outputByOutput(solution, parameters),
    },
    toModel: (theta) => normalise(theta, kind, columns),
    modelSlopes: () => undefined,
  }
}

/** From C and l to gain, matrix and the rest, so that equal light in all channels comes out as it is. */
function normalise(
  theta: Float64Array,
  kind: 'root-polynomial-2' | 'root-polynomial-3',
  columns: number,
): MatchModel | undefined {
  const terms = rootPolynomialTerms(kind)
  const row = (c: number) => [...theta.subarray(c * columns, (c + 1) * columns)]
  const C = [row(0), row(1), row(2)]
  const white = whiteOf(C, terms)
  if (white === undefined) return undefined
  const feature = [...white, ...Array<number>(terms.length).fill(0)]
  rootPolynomialValues(terms, white[0], white[1], white[2], feature, 3)
  const scaled = C.map((values) => values.map((value, i) => value * feature[i]!))
  const head = (values: readonly number[]): Vec3 => [values[0]!, values[1]!, values[2]!]
  const lift = theta.subarray(3 * columns)
  return {
    kind,
    lift: [lift[0]!, lift[1]!, lift[2]!],
    gain: [1 / white[0], 1 / white[1], 1 / white[2]],
    matrix: [head(scaled[0]!), head(scaled[1]!), head(scaled[2]!)],
    rootPolynomial: [scaled[0]!.slice(3), scaled[1]!.slice(3), scaled[2]!.slice(3)],
  }
}

/**
 * The light that comes out as 1, 1, 1: Newton's method in logarithms, each step halved until it brings the output
 * nearer. `undefined` where there is none.
 */
function whiteOf(
  C: readonly (readonly number[])[],
  terms: readonly (readonly [number, number, number])[],
): Vec3 | undefined {
  const exponents = [[1, 0, 0], [0, 1, 0], [0, 0, 1], ...terms]
  const at = (log: Vec3) => {
    const feature = exponents.map(([r, g, b]) => exp(r * log[0] + g * log[1] + b * log[2]))
    const miss = C.map((values) => 1 - values.reduce((sum, c, i) => sum + c * feature[i]!, 0))
    return { feature, miss, size: norm(miss) }
  }
  let log = brightest(C)
  let here = at(log)
  for (let iteration = 0; iteration < 100; iteration++) {
    const row = (values: readonly number[]): Vec3 =>
      map3([0, 1, 2], (k) => values.reduce((sum, c, i) => sum + c * here.feature[i]! * exponents[i]![k]!, 0))
    const inverse = invert3([row(C[0]!), row(C[1]!), row(C[2]!)])
    if (inverse === undefined) return undefined
    const step = apply3(inverse, [here.miss[0]!, here.miss[1]!, here.miss[2]!])
    let share = 1
    let next = here
    let moved = log
    while (share > 1e-6) {
      moved = [log[0] + share * step[0], log[1] + share * step[1], log[2] + share * step[2]]
      next = at(moved)
      if (next.size < here.size) break
      share /= 2
    }
    if (!(next.size < here.size)) {
      return here.size < 1e-10 ? [exp(log[0]), exp(log[1]), exp(log[2])] : undefined
    }
    log = moved
    here = next
  }
  return here.size < 1e-10 ? [exp(log[0]), exp(log[1]), exp(log[2])] : undefined
}

/** A start near the white: every term scales with exposure, so a grey of 1 is brought to a mean output of 1. */
function brightest(C: readonly (readonly number[])[]): Vec3 {
  const sum = C.flat().reduce((total, c) => total + c, 0) / 3
  const level = sum > 0 ? -ln(sum) : 0
  return [level, level, level]
}
