import {
  builtinChart,
  type EncodingSpec,
  encodeRgb,
  type FitOptions,
  type Readings,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { reportHtml, reportJson, residualsCsv } from '@isochip/report'
import {
  bakeFormats,
  buildReport,
  matchFileText,
  matchReadings,
  ocioConfig,
  ocioLight,
  parseShow,
  planShow,
  toMatchFile,
} from '@isochip/show'
// Without the rest of the package, which writes PNG by Node.
import { patchLight } from '../../packages/synthetic/src/spectrum/patchLight.ts'
import { type SensorName, sensorNames } from '../../packages/synthetic/src/spectrum/sensorResponse.ts'

/*
 * What goes to every engine that files are compared between: shows from readings to the text of all their files, without
 * Node and without a browser. Invented cameras; only that the engines agree is checked with them.
 */
const chart = builtinChart('chart24')
const log = {
  logSideSlope: 0.25,
  logSideOffset: 0.4,
  linSideSlope: 8,
  linSideOffset: 0.05,
  linSideBreak: 0.01,
}
const cameras: { id: string; encoding: EncodingSpec; sensor: SensorName; stops: number; balance: Vec3 }[] = [
  { id: 'aim', encoding: 'bt709', sensor: sensorNames[0]!, stops: 0, balance: [1, 1, 1] },
  { id: 'near', encoding: 'srgb', sensor: sensorNames[1]!, stops: 0.4, balance: [1.2, 1, 0.85] },
  {
    id: 'far',
    encoding: { transfer: { log }, primaries: 'bt2020' },
    sensor: sensorNames[2]!,
    stops: -1.3,
    balance: [0.8, 1, 1.3],
  },
  { id: 'high', encoding: 'pq', sensor: sensorNames[3]!, stops: 0.9, balance: [1.1, 1, 1.1] },
  { id: 'wide', encoding: 'hlg', sensor: sensorNames[4]!, stops: -0.2, balance: [0.9, 1, 1] },
  { id: 'raw', encoding: 'acescct', sensor: sensorNames[5]!, stops: 1.7, balance: [1.4, 1, 0.7] },
]

/** Fits of every kind, each with the cameras that it takes; every format stands in one of them. */
const shows: { name: string; of: readonly number[]; fit: FitOptions; more: object }[] = [
  {
    name: 'matrix',
    of: [0, 2, 3],
    fit: {},
    more: { output: { formats: ['cube', 'clf', 'cdl', 'ocio'], size: 9 } },
  },
  { name: 'auto', of: [0, 2], fit: { model: 'auto' }, more: { output: { formats: ['cube'], size: 9 } } },
  {
    name: 'corrected',
    of: [0, 5],
    fit: { curve: 'corrected' },
    more: { output: { formats: ['cube'], size: 9, nodes: 'bounded', nodeBits: 10 } },
  },
  {
    name: 'reference',
    of: [1, 4],
    fit: { model: 'root-polynomial-2' },
    more: { target: { reference: 'D65' }, output: { formats: ['clf-live'], encoding: 'hlg' } },
  },
]

/** Noise of half a percent: whole numbers alone, so that it is no function of the engine's. */
function readings(place: number): Readings {
  const { encoding, sensor, stops, balance } = cameras[place]!
  const curve = resolveEncoding(encoding)
  const factor = 1 + stops / 4
  let state = 7 + place
  const noise = () => {
    state = (state * 48271) % 2147483647
    return 1 + 0.005 * ((2 * state) / 2147483647 - 1)
  }
  const light = patchLight({ chart, device: sensor, light: 'D65' })
  return {
    patches: light.map(({ patch, light: [r, g, b] }) => ({
      patch,
      rgb: encodeRgb(curve, [
        r * balance[0] * factor * noise() + 0.002,
        g * balance[1] * factor * noise() + 0.002,
        b * balance[2] * factor * noise() + 0.003,
      ]),
    })),
  }
}

/** Every file of every show: its name and its text, byte by byte as characters. */
export async function filesOfShows(): Promise<Record<string, string>> {
  const files: Record<string, string> = {}
  for (const { name, of, fit, more } of shows) {
    const shots = of.map((place) => ({
      camera: cameras[place]!.id,
      setup: 'default',
      readings: readings(place),
    }))
    const show = await parseShow({
      isochip: 1,
      chart: 'chart24',
      target: { camera: 'aim' },
      fit,
      cameras: of.map((place) => {
        const { id, encoding } = cameras[place]!
        return { id, encoding, readings: `${id}.csv` }
      }),
      ...more,
    })
    const plan = planShow(show, { chart })
    const { matches, failures } = matchReadings(plan, shots)
    for (const failure of failures) files[`${name}/${failure.code}`] = failure.message
    for (const one of matches) {
      for (const [i, { bytes }] of bakeFormats(plan, one).files.entries()) {
        let text = ''
        for (const byte of bytes) text += String.fromCharCode(byte)
        files[`${name}/${one.camera}.${i}`] = text
      }
      files[`${name}/${one.camera}.match.json`] = matchFileText(toMatchFile(plan, one))
    }
    const report = buildReport(plan, matches, [], () => ({ lut: { files: [], size: 9 } as never }))
    files[`${name}/report.json`] = reportJson(report)
    files[`${name}/report.html`] = reportHtml(report)
    files[`${name}/residuals.csv`] = residualsCsv(report)
    if (name === 'matrix') {
      files[`${name}/ocio`] = ocioConfig(report)
      files[`${name}/light`] = ocioLight(report)
    }
  }
  return files
}
