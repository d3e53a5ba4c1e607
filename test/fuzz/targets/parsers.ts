import { builtinChart, type Vec3 } from '@isochip/core'
import {
  lutTransform,
  processListTransform,
  readClf,
  readCube,
  transferTableOf,
  writeClf,
} from '@isochip/export'
import {
  chartToJson,
  chartWithReference,
  parseCgats,
  parseChart,
  parseLight,
  parseReadings,
} from '@isochip/frames'
import { parseMatchFile, parseShow, planShow } from '@isochip/show'
import { parseChecksums } from '../../../packages/show/src/files/checksums.ts'
import type { Target } from '../target.ts'
import { matchedFolder } from './matchedFolder.ts'
import {
  bytesOf,
  cgatsTexts,
  chartText,
  clfTexts,
  latticeText,
  lightTexts,
  otherShows,
  readingsOf,
  showText,
  tableText,
  textOf,
} from './samples.ts'

const texts = (list: readonly string[]) => () => Promise.resolve(list.map(bytesOf))

/** Code values at which a LUT is asked: within, at the ends, far beyond. */
const codes: readonly Vec3[] = [
  [0, 0, 0],
  [1, 1, 1],
  [0.2, 0.5, 0.9],
  [-0.1, 1.1, 0.5],
  [-8, 8, 0.3],
]

/** Of every parser of a text. */
export const parserTargets: readonly Target[] = [
  {
    name: 'show',
    kind: 'yaml',
    samples: texts([showText, ...otherShows]),
    run: (bytes) => parseShow(textOf(bytes), 'show.yaml'),
  },
  {
    name: 'show as an object',
    kind: 'yaml',
    samples: texts([showText, ...otherShows]),
    run: async (bytes) => {
      let content: unknown
      try {
        content = JSON.parse(textOf(bytes))
      } catch {
        return undefined
      }
      const show = await parseShow(content as object)
      return show.chart === 'chart24' ? planShow(show, { chart: builtinChart('chart24') }) : show
    },
  },
  {
    name: 'chart',
    kind: 'json',
    samples: () => Promise.resolve([bytesOf(chartText()), bytesOf(chartToJson(builtinChart('quay48')))]),
    run: async (bytes) => parseChart(textOf(bytes), 'chart.json'),
  },
  {
    name: 'readings',
    kind: 'text',
    samples: () => Promise.resolve([readingsOf('jib'), readingsOf('rail')]),
    run: async (bytes) => parseReadings(textOf(bytes), 'a.csv', builtinChart('chart24')),
  },
  {
    name: 'cgats',
    kind: 'text',
    samples: texts(cgatsTexts()),
    run: async (bytes) => {
      const file = parseCgats(textOf(bytes), 'values.txt')
      return [file, chartWithReference(parseChart(twoPatches, 'chart.json'), file)]
    },
  },
  {
    name: 'light',
    kind: 'text',
    samples: texts(lightTexts()),
    run: async (bytes) => parseLight(textOf(bytes), 'light.csv'),
  },
  {
    name: 'cube',
    kind: 'text',
    samples: texts([
      latticeText(),
      tableText(5),
      `LUT_1D_SIZE 2\nLUT_3D_SIZE 2\n0 0 0\n1 1 1\n${'0 0.5 1\n'.repeat(8)}`,
    ]),
    run: async (bytes) => {
      const file = readCube(bytes, { file: 'a.cube' })
      const { lut } = file
      return [file, codes.map(lutTransform(lut)), lut.kind === 'curve' ? transferTableOf(lut) : undefined]
    },
  },
  {
    name: 'clf',
    kind: 'xml',
    samples: texts(clfTexts()),
    share: 2,
    run: async (bytes) => {
      const { list } = readClf(bytes, { file: 'a.clf' })
      const answers = codes.map(processListTransform(list))
      // What was read can be written, and is then read as the same.
      const again = readClf(writeClf(list)).list
      return [list, answers, again]
    },
  },
  {
    name: 'match file',
    kind: 'json',
    samples: async (folder) => (await matchedFolder(folder)).matchFiles,
    // Figures of the diagnosis that do not exist are null in the file and NaN in memory (`figure` of core's shapes).
    run: async (bytes) => (await parseMatchFile(textOf(bytes), 'a.match.json')).model,
  },
  {
    name: 'checksums',
    kind: 'text',
    samples: async (folder) => [(await matchedFolder(folder)).checksums],
    run: async (bytes) => parseChecksums(textOf(bytes)),
  },
]

const twoPatches = JSON.stringify({
  isochip: 'chart/1',
  id: 'two',
  rows: 1,
  columns: 2,
  patches: [{ name: 'white' }, { name: 'black, deep' }],
  geometry: { pitch: [0.5, 1], patch: [0.5, 1], aspect: 2 },
})
