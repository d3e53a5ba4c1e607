import { noiseVariances } from '../diagnose/noiseVariances.ts'
import { hypot } from '../elementary/hypot.ts'
import { pow } from '../elementary/pow.ts'
import type { Fit } from '../fit/fitKind.ts'
import { perceptualResiduals } from '../fit/perceptualResiduals.ts'
import { residualNorms } from '../fit/residualNorms.ts'
import { residualSlopes } from '../fit/residualSlopes.ts'
import type { Design } from '../model/design.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Samples } from '../samples/samples.ts'
import { levenbergMarquardt } from '../solver/levenbergMarquardt.ts'
import { glareLikeness } from './glareLikeness.ts'
import { predictionWidths } from './predictionWidths.ts'

/** A patch is an outlier where it lies this many robust standard deviations from a fit to the others … */
const manySigma = 6
/** … and a neutral one by more than this in ΔE00, so that a nearly perfect match does not disown its last tenths. */
const visible = 2
/**
 * Sensors see greys alike and colours not: what a clean patch is off by grows with its chroma, and from `fullChroma`
 * on no more. There a patch has to be off by twice what a neutral one has. Measured on clean charts (the sensors
 * of Jiang et al. 2013, each to each other and to the 2° observer, in seven lights): none of them has an outlier then.
 */
const colourful = 2
const fullChroma = 40
/** Standard error that every reading is taken to have at least, as a share of the brightest: common practice, no source. */
const readingFloor = 0.0005
/** The median of the norm of three normal residuals of unit variance (χ with 3 degrees of freedom). */
const chi3Median = 1.538

/**
 * Factors on the patches' weights: 1 for every patch that fits the others, near 0 for the few that do not (a
 * reflection, a thumb, two patches swapped). Patches are judged in ΔE00 whatever the objective.
 *
 * A least-squares fit is drawn to an outlier and hides it, so the judgement is by a redescending M-estimate
 * (Geman–McClure weights, Holland and Welsch 1977 on iterating them) whose scale is tightened step by step from the
 * largest residual to that of the majority. Residuals are compared after division by what the patch's chroma lets pass,
 * so a bright grey under a weak reflection is found and a saturated cyan is not disowned; a residual that looks like a
 * reflection does not pass, and the limit has room for the patch's own noise. More than a quarter of the patches cannot be outliers: then nothing is.
 */
export function outlierFactors(fit: Fit, problem: MatchProblem): Float64Array {
  const { samples } = problem
  const { design } = fit
  const none = new Float64Array(samples.count).fill(1)
  const activeCount = problem.active.length
  // With no patch to spare, any of them can be fitted by throwing out another.
  if (activeCount < design.columns + 4) return none
  const tolerance = chromaTolerances(problem)
  let norms = normsOf(design, problem, fit.theta, tolerance)
  // Leverage hides at most about half of an outlier at the numbers of patches that charts have.
  if (norms.every((norm, p) => norm * tolerance[p]! < visible / 2)) return none

  let theta = fit.theta
  let scale = Math.max(...norms)
  let sigma = scale
  for (let round = 0; round < 12; round++) {
    const factors = norms.map((norm) => 1 / (1 + (norm / scale) ** 2) ** 2)
    const of = perceptualResiduals(weighted(problem, factors), design)
    const solution = levenbergMarquardt(of, theta, { maxIterations: 20, costTolerance: 1e-6 })
    theta = solution.theta
    norms = normsOf(design, problem, theta, tolerance)
    sigma = robustSigma(norms, problem, design)
    const next = Math.max(3 * sigma, 0.6 * scale, visible / 3)
    if (next === scale || (next > 0.95 * scale && round > 3)) break
    scale = next
  }
  const limit = Math.max(manySigma * sigma, visible)
  if (norms.every((norm, p) => norm * tolerance[p]! <= limit)) return none
  const factor = norms.map((norm) => 1 / (1 + (norm / scale) ** 2) ** 2)
  const width = predictionWidths(design, weighted(problem, factor), theta)
  const slopes = residualSlopes(problem.evenly().perceptual(), design, theta)
  const noise = noiseVariances(slopes, atLeastAsNoisy(samples))
  const glare = glareLikeness(slopes)
  const factors = norms.map((scaled, p) => {
    const norm = scaled * (1 + (tolerance[p]! - 1) * glare[p]!)
    const variance = (noise[3 * p]! + noise[3 * p + 1]! + noise[3 * p + 2]!) / 3
    const excess = norm / hypot(limit * width[p]!, (manySigma * Math.sqrt(variance)) / tolerance[p]!)
    return excess > 1 ? pow(excess, -6) / 10 : 1
  })
  const outside = factors.filter((factor) => factor < 1).length
  return outside > activeCount / 4 ? none : factors
}

const weighted = (problem: MatchProblem, factors: Float64Array) =>
  problem.reweighted(problem.samples.weight.map((w, p) => w * factors[p]!))

/** No reading is better than its share of the brightest patch: dust, stray light, digits. */
function atLeastAsNoisy(samples: Samples): Samples {
  const peak = [0, 1, 2].map((c) => Math.max(...samples.source.filter((_, i) => i % 3 === c)))
  const sourceError = samples.sourceError.map((error, i) => Math.max(error, readingFloor * peak[i % 3]!))
  return { ...samples, sourceError }
}

/** By patch: how far it may be off relative to a neutral one. */
function chromaTolerances({ samples, targetLab }: MatchProblem): Float64Array {
  const lab = targetLab()
  return Float64Array.from({ length: samples.count }, (_, p) => {
    const chroma = hypot(lab[3 * p + 1]!, lab[3 * p + 2]!)
    return 1 + (colourful - 1) * Math.min(chroma / fullChroma, 1)
  })
}

/** ΔE00 of each patch over what its chroma lets pass. */
function normsOf(
  design: Design,
  problem: MatchProblem,
  theta: Float64Array,
  tolerance: Float64Array,
): Float64Array {
  const of = perceptualResiduals(problem, design)
  return residualNorms(of, problem.samples.weight, theta).map((norm, p) => norm / tolerance[p]!)
}

/** Standard deviation of one residual from the median norm, for the degrees of freedom that the fit has taken up. */
function robustSigma(norms: Float64Array, { active }: MatchProblem, design: Design): number {
  const sorted = active.map((p) => norms[p]!).sort((a, b) => a - b)
  const middle = sorted.length / 2
  const median = (sorted[Math.floor(middle)]! + sorted[Math.ceil(middle) - 1]!) / 2
  const free = Math.max(3 * sorted.length - design.parameters, 1)
  return (median / chi3Median) * Math.sqrt((3 * sorted.length) / free)
}
