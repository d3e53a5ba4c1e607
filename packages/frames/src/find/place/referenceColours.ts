import {
  adaptation,
  apply3,
  type Chart,
  illuminantWhites,
  map3,
  multiply3,
  resolvePrimaries,
  type Vec3,
  xyzFromLab,
  xyzFromXy,
  xyzToRgb,
} from '@isochip/core'

/**
 * What a chart's patches look like under D65 to a camera of BT.709 primaries: linear light, not negative. Bradford
 * adaptation. A true black gives none. `undefined` when a patch has no reference value: such a chart cannot be told by its colours.
 */
export function referenceColours(chart: Chart): readonly Vec3[] | undefined {
  const { reference } = chart
  if (reference === undefined) return undefined
  const white =
    typeof reference.illuminant === 'string'
      ? illuminantWhites[reference.illuminant]
      : reference.illuminant.white
  const toRgb = multiply3(
    xyzToRgb(resolvePrimaries('bt709')),
    adaptation(white, illuminantWhites.D65, 'bradford'),
  )
  const colours: Vec3[] = []
  for (const { value, role } of chart.patches) {
    if (role === 'true-black') {
      colours.push([0, 0, 0])
      continue
    }
    if (value === undefined) return undefined
    const [a, b, c] = value
    const xyz: Vec3 =
      reference.space === 'XYZ'
        ? value
        : reference.space === 'Lab'
          ? xyzFromLab(value, xyzFromXy(white))
          : [(a / b) * c, c, ((1 - a - b) / b) * c]
    colours.push(map3(apply3(toRgb, xyz), (light) => Math.max(0, light)))
  }
  return colours
}
