import { apply3, type Chart, deltaE76, type Lab65, labFromXyz65, type Vec3 } from '@isochip/core'
import { linearMap } from './bootstrapMatrix.ts'

/** How close a camera comes to the eye of the standard observer, by the patches of a chart. */
export interface SensitivityMetamerism {
  /** 100 − 5.5 · mean ΔE*ab; 100 where a matrix makes the camera an observer. */
  readonly index: number
  readonly meanDE76: number
  readonly maxDE76: number
  readonly patches: number
}

/**
 * The sensitivity metamerism index after ISO 17321-1:2012, annex D (its formula from memory): the matrix that takes
 * the camera's light to XYZ with the least mean ΔE*ab is sought, and 5.5 times what is left is taken from 100.
 *
 * Assumptions, since only a chart was shot: the chart's reference values, adapted to D65, stand for what the observer
 * sees in this light; the matrix is the one of least squares in XYZ, with more weight on dark patches as CIELAB has it,
 * so the index is a little low; the patches are those of this chart, neutrals left out, and not the standard's list.
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
  const names = chart.patches.flatMap(({ name, role }) => {
    const neutral = role === 'neutral' || role === 'white' || role === 'black'
    return !neutral && light.has(name) && xyz.has(name) ? [name] : []
  })
  if (names.length < 6) return undefined
  const seen = names.map((name) => light.get(name)!)
  const wanted = names.map((name) => xyz.get(name)!)
  // The slope of CIELAB's cube root: what a step in XYZ is worth.
  const worth = wanted.map(([, y]) => 1 / Math.max(y, 0.02) ** (2 / 3))
  const scaled = (rows: readonly Vec3[]) =>
    rows.map(([r, g, b], i): Vec3 => [r * worth[i]!, g * worth[i]!, b * worth[i]!])
  const { matrix, rank } = linearMap(scaled(seen), scaled(wanted))
  if (rank < 3) return undefined
  const lab = (value: Vec3): Lab65 => labFromXyz65(value)
  const differences = seen.map((value, i) => deltaE76(lab(apply3(matrix, value)), lab(wanted[i]!)))
  const mean = differences.reduce((sum, value) => sum + value, 0) / differences.length
  return {
    index: 100 - 5.5 * mean,
    meanDE76: mean,
    maxDE76: Math.max(...differences),
    patches: names.length,
  }
}
