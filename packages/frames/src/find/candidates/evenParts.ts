import { constants } from '../constants.ts'
import { gradientMap } from '../prepare/gradientMap.ts'
import { pictureKernel } from '../prepare/pictureKernel.ts'
import type { WorkingImage } from '../prepare/workingImage.ts'
import { type FlatRegion, flatRegions, type RegionLimits, roomForRuns } from './flatRegions.ts'
import { regionsByKernel } from './regionsByKernel.ts'

/** What is even in a picture, for charts of all kinds. */
export interface EvenParts {
  readonly width: number
  readonly height: number
  /** The gradient that noise makes, nearly everywhere below it. */
  readonly noise: number
  /** Regions nearly convex, at several thresholds of the gradient, the strictest first. */
  readonly levels: readonly (readonly FlatRegion[])[]
}

/**
 * Even parts of a picture of which all samples are made.
 *
 * @param kernel same parts with and without (`null`)
 */
export function evenParts(image: WorkingImage, kernel = pictureKernel()): EvenParts {
  const { thresholds, overNoise, smallest, largest, hullFill } = constants.candidates
  const { width, height } = image
  const gradient = gradientMap(image, kernel)
  const noise = noiseGradient(gradient)
  const levels = [...new Set(thresholds.map((level) => Math.max(level, noise)))]
  if (levels.length < 3) levels.push(...overNoise.map((factor) => factor * noise))
  const limits = { smallest, largest: largest * width * height, most: constants.budget.regions, hullFill }
  const regions =
    kernel === null
      ? regionsByRows(gradient, width, height, limits)
      : regionsByKernel(kernel, gradient, width, height, limits)
  return { width, height, noise, levels: levels.map(regions) }
}

function regionsByRows(gradient: Float32Array, width: number, height: number, limits: RegionLimits) {
  const room = roomForRuns(width, height)
  return (level: number) => flatRegions(gradient, width, height, level, limits, room)
}

/** Half of most frames has no edges: noise is found there. */
function noiseGradient(gradient: Float32Array): number {
  const { noiseSamples, noiseQuantile, noiseFactor } = constants.candidates
  const step = Math.max(1, Math.floor(gradient.length / noiseSamples))
  const sorted = new Float32Array(Math.ceil(gradient.length / step))
  for (let i = 0; i < sorted.length; i++) sorted[i] = gradient[i * step]!
  sorted.sort()
  return sorted[Math.floor(sorted.length * noiseQuantile)]! * noiseFactor
}
