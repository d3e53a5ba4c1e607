import { seededRandom } from '../random.ts'
import type { Reflectances } from './expectReadings.ts'

/**
 * Reflectances as materials beside the chart may have them, made of the chart's own: mixtures of three patches, in turn by
 * light (their sum) and by density (their product, raised to 0.6 … 1.4). The same chart, the same list.
 */
export function virtualReflectances(chart: Reflectances, count: number): Float64Array[] {
  const uniform = seededRandom(2)
  const densities = chart.map((reflectance) => reflectance.map(Math.log))
  const pick = () => Math.floor(uniform() * chart.length)
  return Array.from({ length: count }, (_, i) => {
    const [a, b, c] = [pick(), pick(), pick()]
    const [x, y, z] = shares(uniform)
    const sum = (of: Reflectances) => of[a]!.map((value, k) => x * value + y * of[b]![k]! + z * of[c]![k]!)
    if (i % 2 === 0) return sum(chart)
    const power = 0.6 + 0.8 * uniform()
    return sum(densities).map((density) => Math.exp(power * density))
  })
}

/** Three shares that add up to 1, all such alike. */
function shares(uniform: () => number): [number, number, number] {
  const x = -Math.log(uniform())
  const y = -Math.log(uniform())
  const z = -Math.log(uniform())
  return [x / (x + y + z), y / (x + y + z), z / (x + y + z)]
}
