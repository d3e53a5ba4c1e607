import {
  type Chart,
  type ErrorCode,
  IsochipError,
  type PatchReading,
  type Readings,
  type Vec3,
} from '@isochip/core'
// The build without Node's streams, so that this file runs in a browser.
import { parse } from 'csv-parse/browser/esm/sync'
import { fieldColumn } from './fieldColumn.ts'

/*
 * patch,r,g,b,sd_r,sd_g,sd_b,pixels,clipped
 * white 9.5,0.9012,0.8997,0.8934,0.0021,0.0018,0.0025,10404,0
 * "a name, with a comma",0.1,0.1,0.1,0.002,0.002,0.002,10404,0
 *
 * Code values as fractions, 0 … 1 over the nominal range. Traps: spreadsheets of half the world write 0,9012 and put
 * semicolons between the fields, save percentages, begin the file with a byte order mark, and end lines with CR LF.
 */

const required = ['patch', 'r', 'g', 'b'] as const
const deviations = ['sd_r', 'sd_g', 'sd_b'] as const
const known: readonly string[] = [...required, ...deviations, 'pixels', 'clipped', 'foreign']

interface CsvRecord {
  readonly record: string[]
  readonly info: { readonly lines: number }
  readonly raw: string
}

interface Row {
  readonly fields: readonly string[]
  readonly raw: string
  readonly line: number
}

/**
 * Readings from the text of a CSV file, in the order of the chart's patches.
 *
 * @param file name for messages
 * @throws IsochipError with file, line and column: `readings-invalid` (header, a number that is none),
 *   `patch-unknown`, `patch-doubled`, `patches-missing` (no place within the file)
 */
export function parseReadings(text: string, file: string, chart: Chart): Readings {
  const fault = (code: ErrorCode, message: string, row?: Row, field?: number, hint?: string) =>
    new IsochipError(code, message, {
      hint,
      place: {
        file,
        ...(row === undefined ? {} : { line: row.line }),
        ...(row === undefined || field === undefined ? {} : { column: fieldColumn(row.raw, field) }),
      },
    })
  const rows = readRows(text, fault)
  const header = rows[0]
  if (header === undefined)
    throw fault('readings-invalid', 'the file is empty', undefined, undefined, headerHint)
  const column = readHeader(header, fault)
  const byName = new Map<string, { reading: PatchReading; line: number }>()
  for (const row of rows.slice(1)) {
    if (row.fields.length !== header.fields.length)
      throw fault(
        'readings-invalid',
        `${row.fields.length} fields where the header has ${header.fields.length}`,
        row,
        Math.min(row.fields.length, header.fields.length) -
          (row.fields.length > header.fields.length ? 0 : 1),
        'decimals take a point, not a comma; a name with a comma goes between quotation marks',
      )
    const name = row.fields[column.patch!]!
    if (!chart.patches.some((patch) => patch.name === name))
      throw fault(
        'patch-unknown',
        `chart ${chart.id} has no patch "${name}"`,
        row,
        column.patch,
        nearest(name, chart),
      )
    const before = byName.get(name)
    if (before !== undefined)
      throw fault('patch-doubled', `patch "${name}" stands in line ${before.line} already`, row, column.patch)
    const number = (field: string, low: number, high: number, words: string) => {
      const at = column[field]!
      const value = readNumber(row.fields[at]!)
      if (typeof value === 'string')
        throw fault('readings-invalid', `${field}: ${value}`, row, at, numberHint)
      if (value < low || value > high)
        throw fault('readings-invalid', `${field}: ${value} where ${words} is expected`, row, at, numberHint)
      return value
    }
    const triple = (fields: readonly [string, string, string], low: number, words: string): Vec3 => [
      number(fields[0], low, 16, words),
      number(fields[1], low, 16, words),
      number(fields[2], low, 16, words),
    ]
    const reading: PatchReading = {
      patch: name,
      rgb: triple(['r', 'g', 'b'], -1, 'a fraction of the nominal range, about 0…1 and never beyond −1…16,'),
      ...(column.sd_r === undefined
        ? {}
        : { sd: triple(deviations, 0, 'a standard deviation from 0 to 16') }),
      ...(column.pixels === undefined
        ? {}
        : { pixels: number('pixels', 1, Number.MAX_SAFE_INTEGER, 'a count of at least 1') }),
      ...(column.clipped === undefined ? {} : { clipped: number('clipped', 0, 1, 'a share from 0 to 1') }),
      ...(column.foreign === undefined || number('foreign', 0, 1, '0 or 1') === 0 ? {} : { foreign: true }),
    }
    byName.set(name, { reading, line: row.line })
  }
  const missing = chart.patches.filter((patch) => !byName.has(patch.name)).map((patch) => `"${patch.name}"`)
  if (missing.length > 0)
    throw fault(
      'patches-missing',
      `${missing.length} of the ${chart.patches.length} patches of chart ${chart.id} have no line: ${missing.join(', ')}`,
    )
  return { patches: chart.patches.map((patch) => byName.get(patch.name)!.reading) }
}

type Fault = (code: ErrorCode, message: string, row?: Row, field?: number, hint?: string) => IsochipError

const headerHint = `the first line is patch,r,g,b and may go on with ${deviations.join(',')},pixels,clipped,foreign`
const numberHint = 'code values are fractions of the nominal range: 0.5, not 0,5, 50 %, 128 or 512'

function readRows(text: string, fault: Fault): Row[] {
  const [first = ''] = text.split(/\r?\n/, 1)
  if (!first.includes(',') && /[;\t]/.test(first))
    throw fault(
      'readings-invalid',
      'the fields are not separated by commas',
      { fields: [], raw: first, line: 1 },
      0,
      headerHint,
    )
  try {
    const records = parse(text, {
      bom: true,
      info: true,
      raw: true,
      relax_column_count: true,
      skip_empty_lines: true,
      trim: true,
    }) as unknown as CsvRecord[]
    return records.map(({ record, raw, info }) => {
      // `lines` counts up to the end of the record; a quoted field may hold line breaks.
      const body = raw.replace(/^\uFEFF/, '').replace(/\r?\n$/, '')
      return { fields: record, raw: body, line: info.lines - (body.match(/\n/g)?.length ?? 0) }
    })
  } catch (cause) {
    const { message, lines } = cause as { message: string; lines?: number }
    const row = lines === undefined ? undefined : { fields: [], raw: '', line: lines }
    throw fault('readings-invalid', `not valid CSV: ${message}`, row, undefined, headerHint)
  }
}

function readHeader(header: Row, fault: Fault): Record<string, number | undefined> {
  const column: Record<string, number | undefined> = {}
  header.fields.forEach((name, at) => {
    if (!known.includes(name))
      throw fault('readings-invalid', `no field is called "${name}"`, header, at, headerHint)
    if (column[name] !== undefined)
      throw fault('readings-invalid', `the field "${name}" appears twice`, header, at, headerHint)
    column[name] = at
  })
  const missing = required.filter((name) => column[name] === undefined)
  if (missing.length > 0)
    throw fault('readings-invalid', `the header lacks ${missing.join(', ')}`, header, 0, headerHint)
  const some = deviations.filter((name) => column[name] !== undefined)
  if (some.length === 1 || some.length === 2)
    throw fault(
      'readings-invalid',
      `the header has ${some.join(', ')} but not all of sd_r, sd_g, sd_b`,
      header,
      0,
      headerHint,
    )
  return column
}

/** The number, or what is wrong with the text. */
function readNumber(text: string): number | string {
  if (/^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text)) {
    const value = Number(text)
    return Number.isFinite(value) ? value : `${text} is beyond every range`
  }
  if (text === '') return 'the field is empty'
  if (/%$/.test(text)) return `"${text}" is a percentage`
  if (/^[+-]?\d*,\d+$/.test(text)) return `"${text}" has a decimal comma`
  if (/^[+-]?(nan|inf(inity)?)$/i.test(text)) return `"${text}" is no finite number`
  return `"${text}" is no number`
}

/** The chart's names that a mistyped one may mean. */
function nearest(name: string, chart: Chart): string {
  const plain = (text: string) => text.toLowerCase().replace(/[^a-z0-9]/g, '')
  const match = chart.patches.find((patch) => plain(patch.name) === plain(name))
  if (match !== undefined) return `the chart spells it "${match.name}"`
  return `its patches are ${chart.patches.map((patch) => patch.name).join(', ')}`
}
