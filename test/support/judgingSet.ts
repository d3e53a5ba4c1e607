import {
  adaptation,
  apply3,
  builtinChart,
  illuminantWhites,
  multiply3,
  resolvePrimaries,
  seededRandom,
  targetFromReference,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import {
  type LightName,
  lightPower,
  patchReflectances,
  type SensorName,
  type Spectrum,
  sensorNames,
  sensorResponse,
  xyzOf,
} from '@isochip/synthetic'
import { readTable } from './readTable.ts'

/** Where a camera goes: another sensor under the same light, the 2° observer there, or the chart's published values. */
export type Aim = SensorName | 'observer' | 'published'

/** One matching task: what camera and target see of the chart, and of 99 real materials that are not on it. */
export interface JudgingTask {
  readonly name: string
  readonly light: LightName
  readonly from: SensorName
  readonly to: Aim
  readonly noisy: boolean
  readonly chart: { readonly source: readonly Vec3[]; readonly target: readonly Vec3[] }
  readonly unseen: { readonly source: readonly Vec3[]; readonly target: readonly Vec3[] }
}

export const judgingChart = builtinChart('chart24')
export const judgingWorking = resolvePrimaries('bt709')

/** The colour evaluation samples of CIE 224:2017: real objects, by 5 nm from 380 nm. */
export const ces99: readonly Spectrum[] = (() => {
  const rows = readTable(new URL('../standards/data/ces99-reflectance-cie224.csv', import.meta.url))
  const names = Object.keys(rows[0]!).filter((name) => name !== 'nm')
  return names.map((name) => Float64Array.from(rows, (row) => row[name] as number))
})()

const patches = patchReflectances(judgingChart)

function seen(device: SensorName | 'observer', light: LightName, of: readonly Spectrum[]): Vec3[] {
  const power = lightPower(light)
  if (device !== 'observer') return of.map((reflectance) => sensorResponse(device, power, reflectance))
  const [x, y, z] = xyzOf(power)
  const sum = x + y + z
  const white = light === 'C' ? illuminantWhites.C : ([x / sum, y / sum] as const)
  const toWorking = multiply3(xyzToRgb(judgingWorking), adaptation(white, judgingWorking.white, 'cat16'))
  return of.map((reflectance) => apply3(toWorking, xyzOf(power, reflectance)))
}

const published = targetFromReference(judgingChart, 'C', judgingWorking)

/** @param noise standard deviation of every reading of a camera's chart, as a share of it. */
export function judgingTask(
  from: SensorName,
  to: Aim,
  light: LightName,
  noise: number,
  seed: number,
): JudgingTask {
  const random = seededRandom(seed)
  const normal = () => Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random())
  const shaken = (lights: readonly Vec3[]): Vec3[] =>
    noise === 0
      ? [...lights]
      : lights.map(([r, g, b]) => [
          r * (1 + noise * normal()),
          g * (1 + noise * normal()),
          b * (1 + noise * normal()),
        ])
  const source = shaken(seen(from, light, patches))
  const target =
    to === 'published'
      ? judgingChart.patches.map(({ name }) => published.light.get(name)!)
      : to === 'observer'
        ? seen('observer', light, patches)
        : shaken(seen(to, light, patches))
  return {
    name: `${light}: ${from} to ${to}${noise === 0 ? '' : ', noisy'}`,
    light,
    from,
    to,
    noisy: noise > 0,
    chart: { source, target },
    unseen: {
      source: seen(from, light, ces99),
      target: to === 'published' ? seen('observer', 'C', ces99) : seen(to, light, ces99),
    },
  }
}

/** The lights of CIE 15 that the package has tables of. */
export const judgingLights: readonly LightName[] = ['A', 'C', 'D50', 'D65', 'FL2', 'FL11', 'LED-B3', 'LED-V1']

/** Every sensor to every other, to the observer, and to the published values, in every light. */
export function allPairs(): { from: SensorName; to: Aim }[] {
  return sensorNames.flatMap((from) =>
    ([...sensorNames, 'observer', 'published'] as const).flatMap((to) => (to === from ? [] : [{ from, to }])),
  )
}
