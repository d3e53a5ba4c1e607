import { illuminantWhites, xyzFromXy } from '../colour/illuminants.ts'
import { xyzFromLab } from '../colour/lab.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { ChartReference } from './chart.ts'

/** A patch's reference value as XYZ, Y = 1 for a perfect diffuser. */
export function xyzOfValue(value: Vec3, { space, illuminant }: ChartReference): Vec3 {
  if (space === 'XYZ') return value
  const white = typeof illuminant === 'string' ? illuminantWhites[illuminant] : illuminant.white
  if (space === 'Lab') return xyzFromLab(value, xyzFromXy(white))
  const [x, y, Y] = value
  return [(x / y) * Y, Y, ((1 - x - y) / y) * Y]
}
