import { seededRandom } from '../random.ts'
import { Matrix, SVD } from '../solver/matrices.ts'
import type { Reflectances } from './expectReadings.ts'

/**
 * Reflectances as materials beside the chart may have them, to fit to: mixtures of three of its patches, in turn by
 * light (their sum) and by density (their product, raised to 0.6 … 1.4). The same chart, the same list.
 */
export function mixedReflectances(chart: Reflectances, count: number): Float64Array[] {
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

/** Components of the chart's own spectra that are drawn from. */
const components = 8
/** Reflectances nearer to 0 or 1 than this have no logit worth taking. */
const edge = 0.004

/**
 * Others, to judge by: draws from a normal distribution of logits with the chart's mean and first eight components. They are
 * wilder than mixtures, and nothing is fitted to them. The same chart, the same list.
 */
export function drawnReflectances(chart: Reflectances, count: number): Float64Array[] {
  const uniform = seededRandom(5)
  const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform())
  const logits = chart.map((reflectance) =>
    reflectance.map((value) => {
      const inside = Math.min(Math.max(value, edge), 1 - edge)
      return Math.log(inside / (1 - inside))
    }),
  )
  const mean = logits[0]!.map((_, k) => logits.reduce((sum, row) => sum + row[k]!, 0) / chart.length)
  const centred = new Matrix(logits.map((row) => Array.from(row, (value, k) => value - mean[k]!)))
  const svd = new SVD(centred, { computeLeftSingularVectors: false, autoTranspose: true })
  const kept = svd.diagonal.slice(0, components)
  return Array.from({ length: count }, () => {
    const sizes = kept.map((value) => (value / Math.sqrt(Math.max(chart.length - 1, 1))) * normal())
    return mean.map((middle, k) => {
      const logit = sizes.reduce((sum, size, c) => sum + size * svd.rightSingularVectors.get(k, c), middle)
      return 1 / (1 + Math.exp(-logit))
    })
  })
}
