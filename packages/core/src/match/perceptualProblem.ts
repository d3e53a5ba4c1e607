import { ciede2000Jet, jetSize } from '../colour/ciede2000.ts'
import { type Viewer, viewLab, viewLabSlope } from '../colour/viewer.ts'
import type { LeastSquaresProblem } from '../solver/levenbergMarquardt.ts'
import type { Design } from './design.ts'
import type { Samples } from './samples.ts'

/**
 * Three residuals a patch whose squares add up to weight · ΔE00², with exact derivatives. `slope` below is
 * ∂residual/∂output of one patch, 3×3.
 */
export function perceptualProblem(
  design: Design,
  samples: Samples,
  viewer: Viewer,
  prior?: LeastSquaresProblem['prior'],
): LeastSquaresProblem {
  const { count, target, weight } = samples
  const targetLab = new Float64Array(3 * count)
  const lab = new Float64Array(3)
  for (let p = 0; p < count; p++) {
    viewLab(viewer, target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!, lab)
    targetLab.set(lab, 3 * p)
  }
  const rootWeight = Float64Array.from(weight, Math.sqrt)
  const light = new Float64Array(3)
  const slope = new Float64Array(9)
  const kernel = residualKernel(viewer)
  return {
    parameters: design.parameters,
    residuals: 3 * count,
    ...(prior === undefined ? {} : { prior }),
    evaluate(theta, residuals, jacobian) {
      if (!design.prepare(theta)) return false
      for (let p = 0; p < count; p++) {
        design.output(theta, p, light)
        kernel(light, targetLab, 3 * p, rootWeight[p]!, residuals, 3 * p, slope)
        design.chain(theta, p, slope, jacobian, 3 * p * design.parameters)
      }
      return true
    },
  }
}

/** Residuals of one patch (times `scale`) into `residuals[to…]`, and their slopes by its linear light into `slope`. */
type ResidualKernel = (
  light: Float64Array,
  targetLab: Float64Array,
  at: number,
  scale: number,
  residuals: Float64Array,
  to: number,
  slope: Float64Array,
) => void

function residualKernel(viewer: Viewer): ResidualKernel {
  const lab = new Float64Array(3)
  const labSlope = new Float64Array(9)
  const jet = new Float64Array(jetSize)
  return (light, targetLab, at, scale, residuals, to, slope) => {
    viewLabSlope(viewer, light[0]!, light[1]!, light[2]!, lab, labSlope)
    ciede2000Jet(
      lab[0]!,
      lab[1]!,
      lab[2]!,
      targetLab[at]!,
      targetLab[at + 1]!,
      targetLab[at + 2]!,
      residuals,
      to,
      jet,
    )
    residuals[to]! *= scale
    residuals[to + 1]! *= scale
    residuals[to + 2]! *= scale
    for (let c = 0; c < 3; c++) {
      slope[c] = scale * jet[0]! * labSlope[c]!
      slope[3 + c] = scale * (jet[1]! * labSlope[3 + c]! + jet[2]! * labSlope[6 + c]!)
      slope[6 + c] = scale * (jet[3]! * labSlope[3 + c]! + jet[4]! * labSlope[6 + c]!)
    }
  }
}
