import {
  type Chart,
  type ChartGeometry,
  type ChartPatch,
  type ChartReference,
  type ChartRegion,
  chartIdPattern,
  given,
  type IlluminantName,
  illuminantNames,
  patchRoles,
  type Vec3,
} from '@isochip/core'
import { wavelengthFault } from '../spectra/wavelengthFault.ts'
import { withValues } from '../spectra/withValues.ts'
import { JsonNode } from './jsonNode.ts'
import { readLayout, readRegion } from './readLayout.ts'

/*
 * A chart file:
 *
 * {
 *   "isochip": "chart/1", "id": "grey2", "title": "two greys", "rows": 1, "columns": 2,
 *   "reference": { "space": "Lab", "illuminant": "D50", "observer": 2, "source": "measured, spectrophotometer" },
 *   "patches": [
 *     { "name": "light", "role": "white", "value": [95.1, -0.3, 1.2] },
 *     { "name": "dark", "role": "black", "value": [21.4, 0.1, -0.4] }
 *   ],
 *   "geometry": { "pitch": [0.55, 1], "patch": [0.45, 1], "aspect": 2.2 },
 *   "measured": "2026-03-01", "replace_by": "2028-03-01"
 * }
 *
 * Patches of other shapes, each a polygon or a circle, have `regions` in place of rows, columns and geometry:
 *
 *   "regions": { "size": [30, 20], "landmarks": [{ "name": "upper left mark", "at": [1, 1] }] },
 *   "patches": [
 *     { "name": "light", "role": "white", "value": […], "region": { "circle": { "centre": [8, 10], "radius": 4 } } },
 *     { "name": "dark", "role": "black", "value": […], "region": { "polygon": [[16, 4], [28, 4], [22, 16]] } }
 *   ],
 *
 * Traps: XYZ and xyY are relative to a perfect diffuser of Y = 1, not 100; the fractions of the geometry are of the
 * grid between the outer edges of the outer patches, not of the board; one missing patch shifts all that follow.
 */

const hint = 'a chart file is JSON after the schema `chart/1`; see the chapter on chart files'
const common = ['isochip', 'id', 'title', 'reference', 'wavelengths', 'patches', 'measured', 'replace_by']
const ofGrid = ['rows', 'columns', 'geometry']
const referenceSpaces = ['XYZ', 'xyY', 'Lab'] as const
const positive = (value: number) => value > 0
const count = (value: number) => Number.isInteger(value) && value >= 1 && value <= 100

/**
 * A chart from the text of a chart file.
 *
 * @param file name for messages
 * @throws IsochipError `chart-invalid` with line and column
 */
export function parseChart(text: string, file: string): Chart {
  const root = JsonNode.parse(text, file, 'chart-invalid', hint)
  const chart = root.object([...common, ...ofGrid, 'regions'], ['isochip', 'id', 'patches'])
  chart.isochip!.oneOf(['chart/1'])
  const id = chart.id!.string()
  if (!chartIdPattern.test(id))
    throw chart.id!.fault(`"${id}" where letters, digits, dots, dashes and underlines are expected`)
  const reference = chart.reference === undefined ? undefined : readReference(chart.reference)
  const wavelengths = chart.wavelengths === undefined ? undefined : readWavelengths(chart.wavelengths)
  const known = { reference, wavelengths }
  const measured = chart.measured === undefined ? undefined : readDate(chart.measured)
  const replaceBy = chart.replace_by === undefined ? undefined : readDate(chart.replace_by)
  const head = {
    id,
    title: chart.title?.string() ?? id,
    ...given({ reference, wavelengths, measured, replaceBy }),
  }
  if (chart.regions !== undefined) {
    const both = ofGrid.find((field) => chart[field] !== undefined)
    if (both !== undefined)
      throw chart[both]!.fault(`${both} beside regions`, 'a chart is a grid, or it has regions')
    const regions = readLayout(chart.regions)
    const patches = readPatches(chart.patches!, known, (patch) => readRegion(patch, regions.size))
    return withValues({ ...head, regions, patches })
  }
  const missing = ofGrid.filter((field) => chart[field] === undefined)
  if (missing.length > 0)
    throw root.fault(
      `missing: ${missing.join(', ')}`,
      `${hint}: a grid has ${ofGrid.join(', ')}, a chart of other shapes has regions`,
    )
  const rows = chart.rows!.number(count, 'a whole number from 1 to 100')
  const columns = chart.columns!.number(count, 'a whole number from 1 to 100')
  const nodes = chart.patches!.array()
  if (nodes.length !== rows * columns)
    throw chart.patches!.fault(
      `${nodes.length} patches where ${rows} rows × ${columns} columns = ${rows * columns} are expected`,
    )
  const patches = readPatches(chart.patches!, known)
  return withValues({
    ...head,
    rows,
    columns,
    patches,
    geometry: readGeometry(chart.geometry!, rows, columns),
  })
}

function readReference(node: JsonNode): ChartReference {
  const fields = node.object(
    ['space', 'illuminant', 'observer', 'source'],
    ['space', 'illuminant', 'observer'],
  )
  return {
    space: fields.space!.oneOf(referenceSpaces),
    illuminant: readIlluminant(fields.illuminant!),
    observer: fields.observer!.oneOf([2, 10] as const),
    ...(fields.source === undefined ? {} : { source: fields.source.string() }),
  }
}

function readIlluminant(node: JsonNode): IlluminantName | { white: readonly [number, number] } {
  if (!node.isObject) return node.oneOf(illuminantNames)
  const white = node.object(['white'], ['white']).white!
  const [x, y] = white.array(2).map((part) => part.number(positive, 'a chromaticity above 0')) as [
    number,
    number,
  ]
  if (x + y > 1) throw white.fault(`x + y = ${x + y} where at most 1 is expected`)
  return { white: [x, y] }
}

interface Known {
  readonly reference: ChartReference | undefined
  readonly wavelengths: readonly number[] | undefined
}

/** @param regionOf reads the region of a patch, on charts of regions */
function readPatches(
  node: JsonNode,
  { reference, wavelengths }: Known,
  regionOf?: (patch: JsonNode) => ChartRegion,
): ChartPatch[] {
  const nodes = node.array()
  if (nodes.length === 0) throw node.fault('no patches')
  const seen = new Map<string, string>()
  return nodes.map((patch) => {
    const fields = patch.object(
      ['name', 'role', 'value', 'reflectance', ...(regionOf === undefined ? [] : ['region'])],
      regionOf === undefined ? ['name'] : ['name', 'region'],
    )
    const name = fields.name!.string()
    if (name.trim() !== name || name === '')
      throw fields.name!.fault(`"${name}" is empty or has spaces around it`)
    const first = seen.get(name)
    if (first !== undefined) throw fields.name!.fault(`"${name}" is the name of ${first} already`)
    seen.set(name, patch.path)
    if (fields.value !== undefined && reference === undefined)
      throw fields.value.fault(
        'a value without a reference',
        'say in "reference" what the values are relative to',
      )
    const role = fields.role?.oneOf(patchRoles)
    if (role === 'true-black')
      for (const field of [fields.value, fields.reflectance])
        if (field !== undefined)
          throw field.fault(
            'a true-black with a value',
            'a light trap is no reflectance: leave it away, or call the patch black',
          )
    return {
      name,
      ...given({ role }),
      ...(regionOf === undefined ? {} : { region: regionOf(fields.region!) }),
      ...(fields.value === undefined ? {} : { value: readValue(fields.value, reference!.space) }),
      ...(fields.reflectance === undefined
        ? {}
        : { reflectance: readReflectance(fields.reflectance, wavelengths) }),
    }
  })
}

function readWavelengths(node: JsonNode): number[] {
  const nm = node.array().map((part) => part.number((v) => v >= 200 && v <= 2500, 'a wavelength in nm'))
  const fault = wavelengthFault(nm)
  if (fault !== undefined) throw node.fault(fault)
  return nm
}

function readReflectance(node: JsonNode, wavelengths: readonly number[] | undefined): number[] {
  if (wavelengths === undefined)
    throw node.fault('a reflectance without wavelengths', 'say in "wavelengths" at which nm it was measured')
  return node
    .array(wavelengths.length)
    .map((part) => part.number((v) => v >= -0.01 && v <= 2, 'a reflectance as a fraction, 0…1'))
}

/** Limits that a reflecting patch keeps, with room for fluorescence; they catch values on a scale of 100. */
const limits: Record<ChartReference['space'], readonly (readonly [low: number, high: number])[]> = {
  XYZ: [
    [0, 1.5],
    [0, 1.5],
    [0, 2],
  ],
  xyY: [
    [0, 1],
    [0, 1],
    [0, 1.5],
  ],
  Lab: [
    [0, 120],
    [-180, 180],
    [-180, 180],
  ],
}

function readValue(node: JsonNode, space: ChartReference['space']): Vec3 {
  const values = node.array(3).map((part, i) => {
    const [low, high] = limits[space][i]!
    return part.number((v) => v >= low && v <= high, `${space[i] ?? space} within ${low}…${high}`)
  })
  if (space === 'xyY' && !(values[1]! > 0)) throw node.fault('a chromaticity y of 0')
  return [values[0]!, values[1]!, values[2]!]
}

function readGeometry(node: JsonNode, rows: number, columns: number): ChartGeometry {
  const fields = node.object(['pitch', 'patch', 'aspect'], ['pitch', 'patch', 'aspect'])
  const pair = (part: JsonNode) =>
    part.array(2).map((value) => value.number((v) => v > 0 && v <= 1, 'a fraction over 0 and up to 1')) as [
      number,
      number,
    ]
  const pitch = pair(fields.pitch!)
  const patch = pair(fields.patch!)
  for (const [axis, count, word] of [
    [0, columns, 'columns'],
    [1, rows, 'rows'],
  ] as const) {
    const sum = (count - 1) * pitch[axis] + patch[axis]
    // Half a per cent of the grid: fractions printed to three decimals pass, a pitch of the board does not.
    if (Math.abs(sum - 1) > 0.005)
      throw node.fault(
        `(${word} − 1) · pitch + patch = ${+sum.toFixed(4)} where 1 is expected`,
        'fractions are of the grid between the outer edges of its outer patches, without the board around it',
      )
    if (count > 1 && patch[axis] > pitch[axis] * 1.0001)
      throw node.fault(`patches of ${patch[axis]} overlap at a pitch of ${pitch[axis]}`)
  }
  return { pitch, patch, aspect: fields.aspect!.number(positive, 'a number above 0') }
}

function readDate(node: JsonNode): string {
  const text = node.string()
  const time = /^\d{4}-\d{2}-\d{2}$/.test(text) ? Date.parse(`${text}T00:00:00Z`) : Number.NaN
  // Date.parse lets 31 February roll on into March on some engines; the round trip does not.
  if (Number.isNaN(time) || new Date(time).toISOString().slice(0, 10) !== text)
    throw node.fault(`"${text}" where a date as 2026-03-01 is expected`)
  return text
}
