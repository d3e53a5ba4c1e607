import {
  adaptation,
  apply3,
  builtinChart,
  type Chart,
  illuminantWhites,
  type Vec3,
  xyzFromLab,
} from '@isochip/core'
import { resample, type Spectrum } from './grid.ts'
import { lightPower } from './light.ts'
import { smoothReflectance } from './smoothReflectance.ts'

/** Of ISO 17321-1, from 380 nm by 10 nm. */
const measured = new Map(builtinChart('chart24').patches.map(({ name, reflectance }) => [name, reflectance]))

/** A patch's reference value as XYZ under D65, Bradford-adapted where the chart's light is another. */
function xyz65Of(chart: Chart, value: Vec3): Vec3 {
  const reference = chart.reference!
  const { illuminant, space } = reference
  const white = typeof illuminant === 'string' ? illuminantWhites[illuminant] : illuminant.white
  const whiteXyz: Vec3 = [white[0] / white[1], 1, (1 - white[0] - white[1]) / white[1]]
  const [a, b, c] = value
  const xyz: Vec3 =
    space === 'XYZ'
      ? value
      : space === 'Lab'
        ? xyzFromLab(value, whiteXyz)
        : [(a * c) / b, c, ((1 - a - b) * c) / b]
  return apply3(adaptation(white, illuminantWhites.D65, 'bradford'), xyz)
}

const known = new WeakMap<Chart, readonly Spectrum[]>()

/**
 * A spectral reflectance for every patch of a chart, in the order of its patches: the measured ones of ISO 17321-1
 * for `chart24`, for any other chart the smoothest that has the patch's reference value (under D65). Remembered per
 * chart.
 *
 * @throws Error when a patch has no reference value.
 */
export function patchReflectances(chart: Chart): readonly Spectrum[] {
  const before = known.get(chart)
  if (before !== undefined) return before
  const white = lightPower('D65')
  const made = chart.patches.map((patch) => {
    const table = chart.id === 'chart24' ? measured.get(patch.name) : undefined
    if (table !== undefined) return resample(table, 380, 10, 'hold')
    // A light trap gives nothing back.
    if (patch.role === 'true-black') return white.map(() => 0)
    if (patch.value === undefined || chart.reference === undefined) {
      throw new Error(
        `patch "${patch.name}" of chart ${chart.id} has no reference value to make a spectrum of`,
      )
    }
    return smoothReflectance(xyz65Of(chart, patch.value), white)
  })
  known.set(chart, made)
  return made
}
