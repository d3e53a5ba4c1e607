import {
  type Chart,
  type ChartGeometry,
  type ChartPatch,
  type ChartReference,
  type IlluminantName,
  illuminantNames,
  patchRoles,
  type Vec3,
} from '@isochip/core'
import { wavelengthFault } from '../spectra/wavelengthFault.ts'
import { withValues } from '../spectra/withValues.ts'
import { chartSchema, referenceSpaces } from './chartSchema.ts'
import { JsonNode } from './jsonNode.ts'

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
 * Traps: XYZ and xyY are relative to a perfect diffuser of Y = 1, not 100; the fractions of the geometry are of the
 * grid between the outer edges of the outer patches, not of the board; one missing patch shifts all that follow.
 */

const hint = 'a chart file is JSON after the schema `chart/1`; see the chapter on chart files'
const fields = Object.keys(chartSchema.properties)
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
  const chart = root.object(fields, chartSchema.required)
  chart.isochip!.oneOf(['chart/1'])
  const id = chart.id!.string()
  if (!new RegExp(chartSchema.properties.id.pattern).test(id))
    throw chart.id!.fault(`"${id}" where letters, digits, dots, dashes and underlines are expected`)
  const rows = chart.rows!.number(count, 'a whole number from 1 to 100')
  const columns = chart.columns!.number(count, 'a whole number from 1 to 100')
  const reference = chart.reference === undefined ? undefined : readReference(chart.reference)
  const wavelengths = chart.wavelengths === undefined ? undefined : readWavelengths(chart.wavelengths)
  const patches = readPatches(chart.patches!, rows, columns, reference, wavelengths)
  const measured = chart.measured === undefined ? undefined : readDate(chart.measured)
  const replaceBy = chart.replace_by === undefined ? undefined : readDate(chart.replace_by)
  return withValues({
    id,
    title: chart.title?.string() ?? id,
    rows,
    columns,
    patches,
    geometry: readGeometry(chart.geometry!, rows, columns),
    ...(reference === undefined ? {} : { reference }),
    ...(wavelengths === undefined ? {} : { wavelengths }),
    ...(measured === undefined ? {} : { measured }),
    ...(replaceBy === undefined ? {} : { replaceBy }),
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

function readPatches(
  node: JsonNode,
  rows: number,
  columns: number,
  reference: ChartReference | undefined,
  wavelengths: readonly number[] | undefined,
): ChartPatch[] {
  const nodes = node.array()
  if (nodes.length !== rows * columns)
    throw node.fault(
      `${nodes.length} patches where ${rows} rows × ${columns} columns = ${rows * columns} are expected`,
    )
  const seen = new Map<string, string>()
  return nodes.map((patch) => {
    const fields = patch.object(['name', 'role', 'value', 'reflectance'], ['name'])
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
    return {
      name,
      ...(fields.role === undefined ? {} : { role: fields.role.oneOf(patchRoles) }),
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
