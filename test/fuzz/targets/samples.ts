import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { builtinChart, resolveEncoding, resolvePrimaries, resolveTransfer, seededRandom } from '@isochip/core'
import { clfFromMatch, type LatticeLut, liveClfFromMatch, writeClf, writeCube } from '@isochip/export'
import { chartToJson } from '@isochip/frames'

const root = fileURLToPath(new URL('../../..', import.meta.url))

export const bytesOf = (text: string): Uint8Array => Buffer.from(text, 'utf8')
export const textOf = (bytes: Uint8Array): string => Buffer.from(bytes).toString('utf8')
export const fileBytes = (...path: string[]): Uint8Array => readFileSync(join(root, ...path))

/** Readings of chart24 that belong together, from the colourist's example. */
export const readingsOf = (camera: 'jib' | 'rail' | 'pocket') =>
  fileBytes('examples', 'colourist', 'readings', `${camera}-deck.csv`)

export const chartText = () => chartToJson(builtinChart('chart24'))

/** A 1D table that linearises sRGB. */
export function tableText(size = 65): string {
  const { decode } = resolveTransfer('srgb')
  const rows = Array.from(
    { length: size },
    (_, i) => `${`${decode(i / (size - 1), 0).toFixed(9)} `.repeat(3).trim()}\n`,
  )
  return `TITLE "to light"\nLUT_1D_SIZE ${size}\n${rows.join('')}`
}

const exampleMatch = {
  source: resolveEncoding('hlg'),
  model: {
    kind: 'lift-gain-matrix',
    lift: [-0.002, 0.001, 0.003],
    gain: [1.2, 1, 0.9],
    matrix: [
      [1.1, -0.1, 0],
      [0, 1, 0],
      [0, -0.05, 1.05],
    ],
  },
  working: resolvePrimaries('bt709'),
  output: resolveEncoding('bt709'),
} as const

export function latticeText(): string {
  const random = seededRandom(5)
  const lut: LatticeLut = {
    kind: 'lattice',
    size: 3,
    domainMin: [0, 0, 0],
    domainMax: [1, 1, 1],
    tableRedFastest: Float64Array.from({ length: 81 }, () => random()),
  }
  return writeCube(lut)
}

const nodes = `<Matrix inBitDepth="10i" outBitDepth="16f" id="m"><Array dim="3 4">0.001 0 0 0  0 0.001 0 0.01  0 0 0.001 0</Array></Matrix>
<Range inBitDepth="16f" outBitDepth="16f" style="noClamp"><minInValue>0</minInValue><maxInValue>1</maxInValue><minOutValue>0.06</minOutValue><maxOutValue>0.92</maxOutValue></Range>
<LUT1D inBitDepth="16f" outBitDepth="12i" interpolation="linear"><Array dim="4 3">0 0 0 1000 1100 1200 2000 2100 2200 4095 4095 4095</Array></LUT1D>
<LUT3D inBitDepth="12i" outBitDepth="32f" interpolation="tetrahedral"><Array dim="2 2 2 3">0 0 0 0 0 1 0 1 0 0 1 1 1 0 0 1 0 1 1 1 0 1 1 1</Array></LUT3D>
<ASC_CDL inBitDepth="32f" outBitDepth="32f" style="Fwd"><SOPNode><Slope>1.1 1 0.9</Slope><Offset>0 0.01 0</Offset><Power>1 1.1 1</Power></SOPNode><SatNode><Saturation>0.9</Saturation></SatNode></ASC_CDL>`
const nodesSince3 = `<Exponent inBitDepth="32f" outBitDepth="32f" style="monCurveFwd"><ExponentParams exponent="2.4" offset="0.055" channel="R"/><ExponentParams exponent="2" offset="0.1" channel="G"/></Exponent>
<Log inBitDepth="32f" outBitDepth="32f" style="cameraLinToLog"><LogParams base="10" logSideSlope="0.25" logSideOffset="0.39" linSideSlope="5.5" linSideOffset="0.05" linSideBreak="0.01"/></Log>
<Log inBitDepth="32f" outBitDepth="32f" style="antiLog2"/>`

/** Of all generations, with every node that they have. */
export const clfTexts = (): string[] => [
  `<?xml version="1.0" encoding="UTF-8"?>\n<ProcessList id="two" compCLFversion="2.0">\n<Description>of version 2</Description>\n${nodes}\n<LUT1D inBitDepth="32f" outBitDepth="32f"><IndexMap dim="2">0@0 1@2</IndexMap><Array dim="3 1">0 0.4 1</Array></LUT1D>\n</ProcessList>\n`,
  `<?xml version="1.0" encoding="UTF-8"?>\n<ProcessList xmlns="urn:AMPAS:CLF:v3.0" id="three" compCLFversion="3.0" name="n" inverseOf="x">\n<InputDescriptor>code</InputDescriptor>\n${nodes}\n${nodesSince3}\n</ProcessList>\n`,
  `<?xml version="1.0" encoding="UTF-8"?>\n<clf:ProcessList xmlns:clf="http://www.smpte-ra.org/ns/2136-1/2024" compCLFversion="ST2136-1:2024">\n<clf:Id>urn:uuid:f81d4fae-7dec-41d0-a765-00a0c91e6bf6</clf:Id>\n${`${nodes}\n${nodesSince3}`.replace(/<(\/?)(\w)/g, '<$1clf:$2')}\n</clf:ProcessList>\n`,
  writeClf(clfFromMatch(exampleMatch, { id: 'match' }).list),
  writeClf({
    ...liveClfFromMatch(exampleMatch, { id: 'live' }).list,
    nodes: liveClfFromMatch(exampleMatch, { id: 'live' }).list.nodes.filter(({ type }) => type === 'Range'),
  }),
]

const wavelengths = Array.from({ length: 16 }, (_, i) => 400 + 20 * i)

export const cgatsTexts = (): string[] => [
  `CGATS.17\nORIGINATOR "our print shop"\nWEIGHTING_FUNCTION "ILLUMINANT, D50"\nWEIGHTING_FUNCTION "OBSERVER, 2 degree"\nNUMBER_OF_FIELDS 5\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 2\nBEGIN_DATA\n1 white 95.1 -0.3 1.2\n2 "black, deep" 21.4 0.1 -0.4\nEND_DATA\n`,
  `CGATS.17\nNUMBER_OF_FIELDS 19\nBEGIN_DATA_FORMAT\nSAMPLE_ID XYZ_X XYZ_Y XYZ_Z ${wavelengths.map((nm) => `NM${nm}`).join(' ')}\nEND_DATA_FORMAT\nNUMBER_OF_SETS 2\nBEGIN_DATA\n1 90 95 80 ${wavelengths.map(() => '0.9').join(' ')}\n2 3 3.1 2.5 ${wavelengths.map(() => '0.03').join(' ')}\nEND_DATA\n`,
]

export const lightTexts = (): string[] => [
  `nm,power\n${wavelengths.map((nm) => `${nm},${(nm / 700).toFixed(4)}`).join('\n')}\n`,
  `CGATS.17\nNUMBER_OF_FIELDS 17\nBEGIN_DATA_FORMAT\nSAMPLE_ID ${wavelengths.map((nm) => `SPECTRAL_NM${nm}`).join(' ')}\nEND_DATA_FORMAT\nNUMBER_OF_SETS 1\nBEGIN_DATA\n1 ${wavelengths.map((nm) => nm / 700).join(' ')}\nEND_DATA\n`,
]

/** A show by readings, with what a show can rest on: a chart file, a light, a table. */
export const showText = `isochip: 1
title: Fuzz
chart: chart.json
target: { camera: jib }
fit: { model: matrix }
output: { formats: [cube, clf, cdl, ocio], size: 5, pictures: false }
tolerance: { mean: 1.0, max: 3.0 }
cameras:
  - id: jib
    encoding: { transfer: bt709, primaries: p3-d65 }
    shots:
      - { setup: deck, readings: jib.csv }
  - id: pocket
    encoding: { transfer: { table: table.cube }, primaries: p3-d65, range: full }
    shots:
      - { setup: deck, readings: pocket.csv }
      - { setup: bridge, borrow: deck }
`

export const otherShows: readonly string[] = [
  `isochip: 1
chart: chart24
target: { reference: D65 }
working: { white: [0.3127, 0.329], red: [0.64, 0.33], green: [0.3, 0.6], blue: [0.15, 0.06] }
fit: { model: auto, objective: linear, weights: { roles: { skin: 2 }, patches: { black: 0 } }, clippedShare: 0.02 }
output: { encoding: bt709, formats: [clf-live], size: 5, nodes: bounded, nodeBits: 10 }
cameras:
  - { id: rail, encoding: { transfer: { log: { base: 10, logSideSlope: 0.25, logSideOffset: 0.39, linSideSlope: 5.5, linSideOffset: 0.05, linSideBreak: 0.01 } } }, readings: rail.csv }
`,
  `isochip: 1
chart: chart24
target: { consensus: true, weights: { jib: 2 } }
cameras:
  - { id: jib, encoding: measured, readings: jib.csv }
  - { id: rail, encoding: { transfer: { power: 2.4 } }, readings: rail.csv }
  - { id: wide, encoding: bt709, frames: "wide/*.png", corners: [[1, 2], [3, 2], [3, 4], [1, 4]], at: { seconds: 1, count: 3 }, ycbcr: { range: narrow } }
`,
]
