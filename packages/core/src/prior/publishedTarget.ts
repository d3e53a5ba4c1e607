import type { Chart } from '../chart/chart.ts'
import { xyzOfValue } from '../chart/xyzOfValue.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { leastSquares } from '../solver/leastSquares.ts'
import { illuminantPower } from '../spectra/illuminantPower.ts'
import { tristimulus } from '../spectra/tristimulus.ts'

/** Light of the target may differ from a matrix of the chart's values by rounding, as a share of the largest. */
const rounding = 1e-6

/**
 * Where a target is the chart's own values through a matrix (an adaptation, a conversion between primaries), it has light
 * for any reflectance: by channel, what each knot of a reflectance adds to it. `undefined` for another target, and for
 * values of a white that is no CIE illuminant.
 */
export function publishedTarget(
  chart: Chart,
  target: ReadonlyMap<string, Vec3>,
): readonly Float64Array[] | undefined {
  const { reference } = chart
  if (typeof reference?.illuminant !== 'string' || reference.observer !== 2) return undefined
  const values: Vec3[] = []
  const aims: Vec3[] = []
  for (const { name, value } of chart.patches) {
    const aim = target.get(name)
    if (value === undefined || aim === undefined) continue
    values.push(xyzOfValue(value, reference))
    aims.push(aim)
  }
  if (values.length < 6) return undefined
  const { solution, rank } = leastSquares(values, aims)
  const largest = Math.max(...aims.flat().map(Math.abs))
  const through = (xyz: Vec3, c: number) =>
    xyz[0] * solution[0]![c]! + xyz[1] * solution[1]![c]! + xyz[2] * solution[2]![c]!
  const exact = values.every((xyz, i) =>
    aims[i]!.every((aim, c) => Math.abs(through(xyz, c) - aim) < rounding * largest),
  )
  if (rank < 3 || !exact) return undefined
  const [x, y, z] = tristimulus(illuminantPower(reference.illuminant)).onKnots
  return [0, 1, 2].map((c) => x.map((_, k) => through([x[k]!, y[k]!, z[k]!], c)))
}
