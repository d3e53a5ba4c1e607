import {
  adaptation,
  apply3,
  type Chart,
  multiply3,
  resolvePrimaries,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import {
  type LightName,
  lightPower,
  patchLight,
  patchReflectances,
  type SensorName,
  xyzOf,
} from '@isochip/synthetic'

export type Device = SensorName | 'observer'

export const working = resolvePrimaries('bt709')

const kept = new Map<string, readonly Vec3[]>()

/**
 * The light of a built-in chart's patches in one light: a sensor's own, or for the observer XYZ adapted to the working
 * white. Remembered.
 */
export function lightsSeen(chart: Chart, device: Device, light: LightName): readonly Vec3[] {
  const key = `${chart.id} ${device} ${light}`
  const before = kept.get(key)
  if (before !== undefined) return before
  const made = device === 'observer' ? byObserver(chart, light) : bySensor(chart, device, light)
  kept.set(key, made)
  return made
}

const bySensor = (chart: Chart, device: SensorName, light: LightName) =>
  patchLight({ chart, device, light }).map((patch) => patch.light)

function byObserver(chart: Chart, light: LightName): readonly Vec3[] {
  const power = lightPower(light)
  const [x, y, z] = xyzOf(power)
  const white = [x / (x + y + z), y / (x + y + z)] as const
  const toWorking = multiply3(xyzToRgb(working), adaptation(white, working.white, 'cat16'))
  return patchReflectances(chart).map((reflectance) => apply3(toWorking, xyzOf(power, reflectance)))
}
