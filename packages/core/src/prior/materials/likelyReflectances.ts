import type { Chart } from '../../chart/chart.ts'
import { xyzOfValue } from '../../chart/xyzOfValue.ts'
import { adaptation } from '../../colour/adaptation.ts'
import { illuminantWhites } from '../../colour/illuminants.ts'
import { apply3, invert3, map3, type Vec3 } from '../../linear/mat3.ts'
import { cholesky, divideBySquare } from '../../solver/cholesky.ts'
import { illuminantPower } from '../../spectra/illuminantPower.ts'
import { tristimulus } from '../../spectra/tristimulus.ts'
import { knots } from '../knots.ts'
import { chartReflectances } from './chartReflectances.ts'

/** What a reflectance may differ from smoothness by: without it no curve is the smoothest. */
const free = 1e-4

/**
 * The reflectances of a chart's patches on the knots: those that are known, and for a patch of which only the colour is known
 * the smoothest with that colour. `undefined` for a patch without either.
 */
export function likelyReflectances(chart: Chart): readonly (Float64Array | undefined)[] {
  const known = chartReflectances(chart)
  const { reference } = chart
  const named = typeof reference?.illuminant === 'string' ? reference.illuminant : undefined
  const smoothest =
    reference === undefined ? undefined : smoothestOf(tristimulus(illuminantPower(named ?? 'D65')).onKnots)
  return chart.patches.map(({ name, value }) => {
    const spectrum = known.get(name)
    if (spectrum !== undefined || value === undefined || smoothest === undefined) return spectrum
    const xyz = xyzOfValue(value, reference!)
    if (typeof reference!.illuminant === 'string') return smoothest(xyz)
    return smoothest(apply3(adaptation(reference!.illuminant.white, illuminantWhites.D65, 'cat16'), xyz))
  })
}

/** Least Σ (second difference)² for a colour, which the weights give: linear in the colour. */
function smoothestOf(
  weights: readonly Float64Array[],
): (xyz: readonly [number, number, number]) => Float64Array {
  const n = knots.count
  const stiffness = new Float64Array(n * n)
  for (let k = 1; k < n - 1; k++)
    for (const [i, a] of [[k - 1, 1] as const, [k, -2] as const, [k + 1, 1] as const])
      for (const [j, b] of [[k - 1, 1] as const, [k, -2] as const, [k + 1, 1] as const])
        stiffness[i * n + j]! += a * b
  for (let k = 0; k < n; k++) stiffness[k * n + k]! += free
  cholesky(stiffness, n)
  const through = weights.map((weight) => {
    const one = weight.slice()
    divideBySquare(stiffness, one)
    return one
  })
  const dot = (a: Float64Array, b: Float64Array) => a.reduce((sum, value, k) => sum + value * b[k]!, 0)
  const row = (weight: Float64Array): Vec3 => map3([0, 1, 2], (c) => dot(weight, through[c]!))
  const toWeights = invert3([row(weights[0]!), row(weights[1]!), row(weights[2]!)])
  return (xyz) => {
    const [a, b, c] = apply3(toWeights!, xyz)
    return through[0]!.map((value, k) => value * a + through[1]![k]! * b + through[2]![k]! * c)
  }
}
