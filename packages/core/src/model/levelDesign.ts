import type { Design, DesignInput } from './design.ts'

/** `gain` and `lift-gain`: y = D · (g ∘ x + s), θ = g (then s = g ∘ l), D the declared conversion. */
export function levelDesign({ samples, declared }: DesignInput, withLift: boolean): Design {
  const { source } = samples
  const parameters = withLift ? 6 : 3
  const m = declared.flat()
  return {
    kind: withLift ? 'lift-gain' : 'gain',
    parameters,
    columns: withLift ? 2 : 1,
    prepare: (theta) => theta[0]! > 0 && theta[1]! > 0 && theta[2]! > 0,
    output(theta, p, out) {
      const r = theta[0]! * source[3 * p]! + (withLift ? theta[3]! : 0)
      const g = theta[1]! * source[3 * p + 1]! + (withLift ? theta[4]! : 0)
      const b = theta[2]! * source[3 * p + 2]! + (withLift ? theta[5]! : 0)
      for (let c = 0; c < 3; c++) out[c] = m[3 * c]! * r + m[3 * c + 1]! * g + m[3 * c + 2]! * b
    },
    inputSlope(theta, _p, out) {
      for (let row = 0; row < 3; row++) {
        for (let c = 0; c < 3; c++) out[3 * row + c] = m[3 * row + c]! * theta[c]!
      }
    },
    chain(_theta, p, slope, jacobian, at) {
      for (let row = 0; row < 3; row++) {
        for (let c = 0; c < 3; c++) {
          const through =
            slope[3 * row]! * m[c]! + slope[3 * row + 1]! * m[3 + c]! + slope[3 * row + 2]! * m[6 + c]!
          jacobian[at + row * parameters + c] = through * source[3 * p + c]!
          if (withLift) jacobian[at + row * parameters + 3 + c] = through
        }
      }
    },
    linear: {
      columns: parameters,
      rowsPerPatch: 3,
      rows(out, width) {
        for (let i = 0; i < 3 * samples.count; i++) {
          const row = 3 * (i % 3)
          for (let k = 0; k < 3; k++) {
            out[i * width + k] = m[row + k]! * source[i - (i % 3) + k]!
            if (withLift) out[i * width + 3 + k] = m[row + k]!
          }
        }
      },
      theta: (solution) => Float64Array.from(solution, (row) => row[0]!),
    },
    toModel(theta) {
      const [gr, gg, gb] = [theta[0]!, theta[1]!, theta[2]!]
      if (!(gr > 0 && gg > 0 && gb > 0)) return undefined
      return {
        kind: withLift ? 'lift-gain' : 'gain',
        lift: withLift ? [theta[3]! / gr, theta[4]! / gg, theta[5]! / gb] : [0, 0, 0],
        gain: [gr, gg, gb],
        matrix: declared,
      }
    },
    modelSlopes(theta) {
      const slopes = new Float64Array(15 * parameters)
      for (let c = 0; c < 3; c++) {
        const gain = theta[c]!
        if (!(gain > 0)) return undefined
        slopes[(3 + c) * parameters + c] = 1
        if (!withLift) continue
        slopes[c * parameters + c] = -theta[3 + c]! / gain ** 2
        slopes[c * parameters + 3 + c] = 1 / gain
      }
      return slopes
    },
  }
}
