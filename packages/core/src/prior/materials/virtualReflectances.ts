import { cos } from '../../elementary/cos.ts'
import { exp } from '../../elementary/exp.ts'
import { ln } from '../../elementary/ln.ts'
import { seededRandom } from '../../random.ts'
import { remember } from '../../remember.ts'
import { Matrix, SVD } from '../../solver/matrices.ts'
import type { Reflectances } from '../expectReadings.ts'

/** Patches in a mixture. */
const mixed = 4
/** The start of the draws: of forty, one whose mixtures stand well for three thousand of their kind. */
const start = 9

/**
 * Reflectances as materials beside the chart may have them, to fit to: mixtures of four of its patches, in turn by
 * light (their sum) and as pigments are mixed (the sum of absorption over scattering; P. Kubelka, F. Munk 1931). The same
 * chart, the same list.
 */
export const mixedReflectances = remember((chart: Reflectances, count: number): Float64Array[] => {
  const uniform = seededRandom(start)
  const pigments = chart.map((reflectance) => reflectance.map(absorption))
  return Array.from({ length: count }, (_, i) => {
    const patches = Array.from({ length: mixed }, () => Math.floor(uniform() * chart.length))
    const shares = patches.map(() => -ln(uniform()))
    const all = shares.reduce((sum, share) => sum + share, 0)
    const sum = (of: Reflectances) =>
      of[0]!.map((_, k) => patches.reduce((total, p, j) => total + (shares[j]! / all) * of[p]![k]!, 0))
    return i % 2 === 0 ? sum(pigments).map(reflectanceOf) : sum(chart)
  })
})

/** K/S of an opaque layer that reflects r. */
const absorption = (r: number) => (1 - r) ** 2 / (2 * r)
const reflectanceOf = (ratio: number) => 1 + ratio - Math.sqrt(ratio * (ratio + 2))

/** Components of the chart's own spectra that are drawn from. */
const components = 8
/** Reflectances nearer to 0 or 1 than this have no logit worth taking. */
const edge = 0.004

/**
 * Others, to judge by: draws from a normal distribution of logits with the chart's mean and first eight components. They are
 * wilder than mixtures, and nothing is fitted to them. The same chart, the same list.
 */
export const drawnReflectances = remember((chart: Reflectances, count: number): Float64Array[] => {
  const uniform = seededRandom(5)
  const normal = () => Math.sqrt(-2 * ln(uniform())) * cos(2 * Math.PI * uniform())
  const logits = chart.map((reflectance) =>
    reflectance.map((value) => {
      const inside = Math.min(Math.max(value, edge), 1 - edge)
      return ln(inside / (1 - inside))
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
      return 1 / (1 + exp(-logit))
    })
  })
})
