import { type Chart, isNeutral } from '../chart/chart.ts'
import { deltaE76 } from '../colour/deltaE.ts'
import { labFromXyz65 } from '../colour/lab.ts'
import { pow } from '../elementary/pow.ts'
import { apply3, type Vec3 } from '../linear/mat3.ts'
import type * as shape from '../shape/responses.ts'
import type { Shape } from '../shape/shape.ts'
import { leastMeanDE76 } from './leastMeanDE76.ts'
import { linearMap } from './linearMap.ts'

export interface SensitivityMetamerism extends Shape<typeof shape.sensitivityMetamerism> {}

/** What the index rests on, in words, for whoever states it. */
export const metamerismAssumptions: readonly string[] = [
  'index: 100 − 5.5 · mean ΔE*ab; for ranking cameras under this chart and light, not for quoting',
  'stimuli: the patches with hue of this chart, without its greys',
  'light: the light in which this chart was shot',
  'observer: the reference values of the chart, adapted to D65, stand for what the 2° observer sees in this light',
  'matrix: camera → XYZ with the least mean ΔE*ab, without a constraint on white',
]

/**
 * A sensitivity metamerism index: the matrix that takes the camera's light to XYZ with the least mean ΔE*ab is sought,
 * and 5.5 times what remains is taken from 100. The form is that of ISO 17321-1:2012, from memory; stimuli and lights are
 * ours, so its figures do not compare with those of the standard. What it rests on is in `metamerismAssumptions`.
 *
 * @param light of the patches in the camera, linear
 * @param xyz of the patches for the observer, relative to D65, Y = 1 for a perfect diffuser
 * @returns undefined where fewer than six patches with hue serve
 */
export function sensitivityMetamerism(
  chart: Chart,
  light: ReadonlyMap<string, Vec3>,
  xyz: ReadonlyMap<string, Vec3>,
): SensitivityMetamerism | undefined {
  const names = chart.patches
    .filter((patch) => !isNeutral(patch) && light.has(patch.name) && xyz.has(patch.name))
    .map(({ name }) => name)
  if (names.length < 6) return undefined
  const seen = names.map((name) => light.get(name)!)
  const wanted = names.map((name) => xyz.get(name)!)
  // The slope of CIELAB's cube root, squared: what a step in XYZ is worth. Near enough to start from.
  const worth = wanted.map(([, y]) => pow(Math.max(y, 0.02), -4 / 3))
  const { matrix: start, rank } = linearMap(seen, wanted, worth)
  if (rank < 3) return undefined
  const matrix = leastMeanDE76(seen, wanted, start)
  const differences = seen.map((value, i) =>
    deltaE76(labFromXyz65(apply3(matrix, value)), labFromXyz65(wanted[i]!)),
  )
  const mean = differences.reduce((sum, value) => sum + value, 0) / differences.length
  return {
    index: 100 - 5.5 * mean,
    meanDE76: mean,
    maxDE76: Math.max(...differences),
    patches: names.length,
  }
}
