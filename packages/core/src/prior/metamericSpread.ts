import { ciede2000Jet, jetSize } from '../colour/ciede2000.ts'
import { type Viewer, viewLabSlope } from '../colour/viewer.ts'
import { perceptualWeights } from '../fit/perceptualWeights.ts'
import type { Samples } from '../samples/samples.ts'
import { leastSquares } from '../solver/leastSquares.ts'
import { meanReflectance, type Reflectances, readingCovariance } from './expectReadings.ts'
import { type SensorPrior, sensorPrior } from './sensorPrior.ts'

/**
 * By patch: how far, root mean square ΔE00, a patch lies from an affine match because source and target see different
 * spectra, if the target were any channel of any sensor in any light of the prior. Two cameras in one light are alike by
 * more than that: what counts is the proportion between the patches, and a caller scales it by what the patches leave.
 *
 * A channel that is unlike the source's by what the prior leaves open reads the patches with the covariance R·Σ·Rᵀ; the
 * part that three channels and an offset explain is taken out.
 *
 * @param reflectances of the samples, on the knots. Samples of weight 0 take no part in the fit, but have a spread.
 */
export function metamericSpread(
  samples: Samples,
  reflectances: Reflectances,
  viewer: Viewer,
  prior: SensorPrior = sensorPrior(),
): Float64Array {
  const { count, target } = samples
  const covariance = readingCovariance(prior, reflectances, reflectances)
  // Each column of the covariance, less what source and offset explain of it, by rows and then by columns.
  const left = unexplained(transposed(unexplained(covariance, samples), count), samples)
  const level = levelOf(target, reflectances)
  const spread = new Float64Array(count)
  const lab = new Float64Array(3)
  const slope = new Float64Array(9)
  const jet = new Float64Array(jetSize)
  const residuals = new Float64Array(3)
  for (let p = 0; p < count; p++) {
    viewLabSlope(viewer, target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!, lab, slope)
    const [L, a, b] = [lab[0]!, lab[1]!, lab[2]!]
    ciede2000Jet(L, a, b, L, a, b, residuals, 0, jet)
    let square = 0
    for (let c = 0; c < 3; c++) {
      square += (jet[0]! * slope[c]!) ** 2
      square += (jet[1]! * slope[3 + c]! + jet[2]! * slope[6 + c]!) ** 2
      square += (jet[3]! * slope[3 + c]! + jet[4]! * slope[6 + c]!) ** 2
    }
    spread[p] = level * Math.sqrt(square * Math.max(left[p * count + p]!, 0))
  }
  return spread
}

/** What is left of each column (samples × samples, row-major) after the best weighted sum of the source's channels and 1. */
function unexplained(columns: Float64Array, { count, source, target, weight }: Samples): Float64Array {
  const at = (values: Float64Array, p: number) => [values[3 * p]!, values[3 * p + 1]!, values[3 * p + 2]!]
  const rows = Array.from({ length: count }, (_, p) => [...at(source, p), 1])
  const sides = Array.from({ length: count }, (_, p) => [...columns.subarray(p * count, (p + 1) * count)])
  const { solution } = leastSquares(rows, sides, perceptualWeights(target, weight))
  return columns.map((value, i) => {
    const row = rows[Math.floor(i / count)]!
    return value - row.reduce((sum, x, k) => sum + x * solution[k]![i % count]!, 0)
  })
}

function transposed(matrix: Float64Array, n: number): Float64Array {
  return matrix.map((_, i) => matrix[(i % n) * n + Math.floor(i / n)]!)
}

/** Light of the target for a white: readings of the prior are of a white of 1. */
function levelOf(target: Float64Array, reflectances: Reflectances): number {
  const light = target.reduce((sum, value) => sum + value, 0) / 3
  return light / reflectances.reduce((sum, reflectance) => sum + meanReflectance(reflectance), 0)
}
