import { writeFileSync } from 'node:fs'
import { builtinChart, type Vec3 } from '@isochip/core'
import { chartToJson, readingsToCsv } from '@isochip/frames'
import { patchLight, type SensorName } from '@isochip/synthetic'

/*
 * Writes what four measured sensors and the CIE 1931 2° observer see of the 24 patches in D65 into the researcher's
 * example: readings, and a chart whose reference values are the observer's. `solve.py` takes them from there.
 *
 *     node --import tsx/esm -C @isochip/source test/standards/data/sensor-comparison/tasks.ts
 */
const folder = new URL('../../../../examples/researcher/sensors/', import.meta.url)
const chart = builtinChart('chart24')
const light = 'D65'
const rounded = ([a, b, c]: Vec3): Vec3 => [digits(a), digits(b), digits(c)]
const digits = (value: number) => Number(value.toPrecision(7))
const sensors: readonly SensorName[] = ['sensor1', 'sensor3', 'sensor5', 'sensor8']

for (const device of sensors) {
  const patches = patchLight({ chart, device, light }).map((one) => ({
    patch: one.patch,
    rgb: rounded(one.light),
  }))
  writeFileSync(new URL(`${device}.csv`, folder), readingsToCsv({ patches }))
}
const seen = patchLight({ chart, device: 'observer', light })
writeFileSync(
  new URL('chart24-d65.json', folder),
  chartToJson({
    ...chart,
    id: 'chart24-d65',
    title: '24 patches, by their reflectances in D65',
    patches: chart.patches.map(({ name, role }, i) => {
      return { name, ...(role === undefined ? {} : { role }), value: rounded(seen[i]!.light) }
    }),
    reference: {
      space: 'XYZ',
      illuminant: light,
      observer: 2,
      source: 'reflectances of ISO 17321-1:2012, CIE 015:2018 observer and illuminant',
    },
  }),
)
