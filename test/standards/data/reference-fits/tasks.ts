/**
 * Writes tasks.json: matching tasks from measured sensors (Jiang, Liu, Gu, Süsstrunk 2013), the 24 reflectances of
 * ISO 17321-1 and CIE illuminants: sensor → sensor and sensor → reference (the CIE 1931 observer, adapted to D65 by
 * CAT16, in linear BT.709). Six digits, so that every solver starts from the same numbers. From the project's root:
 *
 *     node --import tsx/esm -C @isochip/source test/standards/data/reference-fits/tasks.ts
 *     python3 test/standards/data/reference-fits/solve.py
 */
import { writeFileSync } from 'node:fs'
import {
  adaptation,
  apply3,
  builtinChart,
  multiply3,
  resolvePrimaries,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import { lightPower, patchLight, type SensorName, sensorNames, xyzOf } from '@isochip/synthetic'

const chart = builtinChart('chart24')
const working = resolvePrimaries('bt709')
const lights = ['D65', 'A', 'FL11', 'LED-B3'] as const
type Light = (typeof lights)[number]

const digits = (light: Vec3) => light.map((value) => Number(value.toPrecision(6)))

function seen(device: SensorName | 'observer', light: Light): number[][] {
  const lights = patchLight({ chart, device, light })
  if (device !== 'observer') return lights.map((patch) => digits(patch.light))
  const [x, y, z] = xyzOf(lightPower(light))
  const sum = x + y + z
  const toWorking = multiply3(xyzToRgb(working), adaptation([x / sum, y / sum], working.white, 'cat16'))
  return lights.map((patch) => digits(apply3(toWorking, patch.light)))
}

const tasks = lights.flatMap((light) =>
  sensorNames.flatMap((sensor, i) =>
    (['observer', sensorNames[(i + 3) % sensorNames.length]!] as const).map((to) => ({
      name: `${light}: ${sensor} to ${to}`,
      source: seen(sensor, light),
      target: seen(to, light),
    })),
  ),
)
writeFileSync(new URL('./tasks.json', import.meta.url), `${JSON.stringify(tasks)}\n`)
