import {
  type ChartReference,
  type IlluminantName,
  IsochipError,
  illuminantNames,
  type Vec3,
  type Warning,
} from '@isochip/core'
import { wavelengthFault } from '../spectra/wavelengthFault.ts'
import { type CgatsToken, cgatsTokens } from './cgatsTokens.ts'
import { colourUnderD65, scaleOf, spectralFields } from './spectralFields.ts'

/*
 * ISO 28178 (CGATS.17) text:
 *
 *   CGATS.17
 *   ORIGINATOR "our print shop"
 *   WEIGHTING_FUNCTION "ILLUMINANT, D50"
 *   WEIGHTING_FUNCTION "OBSERVER, 2 degree"
 *   NUMBER_OF_FIELDS 5
 *   BEGIN_DATA_FORMAT
 *   SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B
 *   END_DATA_FORMAT
 *   NUMBER_OF_SETS 2
 *   BEGIN_DATA
 *   1 white 95.1 -0.3 1.2
 *   2 "black, deep" 21.4 0.1 -0.4
 *   END_DATA
 *
 * Spectra stand in fields named by wavelength, SPECTRAL_NM380 or NM380 and the like, beside such values or alone.
 *
 * Traps: XYZ and the Y of xyY are on a scale of 100; line ends mean nothing within the data, only the count of
 * fields does; several tables may follow each other (only the first is read); the illuminant is often not stated;
 * reflectances are fractions or per cent.
 */

export interface CgatsSample {
  /** SAMPLE_ID, and SAMPLE_NAME where the file has it. */
  readonly id: string
  readonly name?: string
  /** In the reference's space; XYZ and Y with 1 for a perfect diffuser. Of spectra alone, their colour under D65. */
  readonly value: Vec3
  /** At the file's wavelengths: reflectance, 1 for a perfect diffuser; of a light its power, as the file has it. */
  readonly spectrum?: readonly number[]
  readonly line: number
}

export interface CgatsFile {
  readonly reference: ChartReference
  /** Of the samples' spectra, nm, ascending. */
  readonly wavelengths?: readonly number[]
  readonly samples: readonly CgatsSample[]
  readonly warnings: readonly Warning[]
}

export interface CgatsOptions {
  /** Where the file does not say. Default D50 and 2°, the usual conditions of ISO 13655, with a warning. */
  readonly illuminant?: IlluminantName
  readonly observer?: 2 | 10
}

const spaces = [
  {
    space: 'XYZ',
    fields: ['XYZ_X', 'XYZ_Y', 'XYZ_Z'],
    scale: [0.01, 0.01, 0.01],
    limits: [
      [0, 150],
      [0, 150],
      [0, 200],
    ],
  },
  {
    space: 'Lab',
    fields: ['LAB_L', 'LAB_A', 'LAB_B'],
    scale: [1, 1, 1],
    limits: [
      [0, 120],
      [-180, 180],
      [-180, 180],
    ],
  },
  {
    space: 'xyY',
    fields: ['XYY_X', 'XYY_Y', 'XYY_CAPY'],
    scale: [1, 1, 0.01],
    limits: [
      [0, 1],
      [0.001, 1],
      [0, 150],
    ],
  },
] as const

const hint =
  'export the measurement as CGATS (ISO 28178) text with SAMPLE_ID or SAMPLE_NAME and XYZ, Lab, xyY or spectral values'

/**
 * Measured values of a chart from a CGATS text file.
 *
 * @param file name for messages
 * @param of what the spectra are of
 * @throws IsochipError `chart-invalid` with file, line and column
 */
export function parseCgats(
  text: string,
  file: string,
  options: CgatsOptions = {},
  of: 'reflectances' | 'light' = 'reflectances',
): CgatsFile {
  const fault = (message: string, at?: CgatsToken) =>
    new IsochipError('chart-invalid', message, {
      hint,
      place: { file, ...(at === undefined ? {} : { line: at.line, column: at.column }) },
    })
  const { tokens, open } = cgatsTokens(text)
  if (open !== undefined) throw fault('a quotation mark without its partner', open)
  const position = (word: string, from = 0) =>
    tokens.findIndex((one, i) => i >= from && !one.quoted && one.text === word)
  const section = (begin: string, end: string, from: number) => {
    const first = position(begin, from)
    if (first < 0) throw fault(`there is no ${begin}`)
    const last = position(end, first)
    if (last < 0) throw fault(`${begin} without ${end}`, tokens[first])
    return { first, last, words: tokens.slice(first + 1, last) }
  }
  const format = section('BEGIN_DATA_FORMAT', 'END_DATA_FORMAT', 0)
  const data = section('BEGIN_DATA', 'END_DATA', format.last)
  const header = tokens.slice(0, data.first)
  const names = format.words.map((word) => word.text.toUpperCase())
  const once = new Set<string>()
  const doubled = names.findIndex((name) => once.size === once.add(name).size)
  if (doubled >= 0) throw fault(`the field ${names[doubled]} appears twice`, format.words[doubled])
  const width = names.length
  checkCount(header, 'NUMBER_OF_FIELDS', width, 'fields in the data format', fault)

  const kind = spaces.find(({ fields }) => fields.every((field) => names.includes(field)))
  const spectral = spectralFields(names)
  const nm = spectral.map((one) => one.nm)
  if (kind === undefined && nm.length === 0)
    throw fault(
      `no XYZ, Lab, xyY or spectral values among the fields ${names.join(', ')}`,
      tokens[format.first],
    )
  const wrong = nm.length === 0 ? undefined : wavelengthFault(nm)
  if (wrong !== undefined) throw fault(wrong, format.words[spectral[0]!.at])
  const idAt = names.indexOf('SAMPLE_ID')
  const nameAt = names.indexOf('SAMPLE_NAME')
  if (idAt < 0 && nameAt < 0)
    throw fault('neither SAMPLE_ID nor SAMPLE_NAME among the fields', tokens[format.first])
  if (data.words.length % width !== 0)
    throw fault(
      `${data.words.length} values are no whole number of sets of ${width}`,
      shortLine(data.words, width) ?? data.words.at(-1) ?? tokens[data.first],
    )
  const count = data.words.length / width
  if (count === 0) throw fault('the file holds no set', tokens[data.first])
  checkCount(header, 'NUMBER_OF_SETS', count, 'sets', fault)

  const seen = new Map<string, number>()
  const rows = Array.from({ length: count }, (_, k) => {
    const set = data.words.slice(k * width, (k + 1) * width)
    const id = set[idAt >= 0 ? idAt : nameAt]!
    const before = seen.get(id.text)
    if (before !== undefined) throw fault(`sample "${id.text}" stands in line ${before} already`, id)
    seen.set(id.text, id.line)
    const value = kind?.fields.map((field, i) => {
      const word = set[names.indexOf(field)]!
      const [low, high] = kind.limits[i]!
      return number(word, field, low, high, fault) * kind.scale[i]!
    }) as [number, number, number] | undefined
    const [low, high] = of === 'light' ? [Number.NEGATIVE_INFINITY, Number.MAX_VALUE] : [-1, 200]
    return {
      id: id.text,
      ...(nameAt >= 0 ? { name: set[nameAt]!.text } : {}),
      value,
      spectrum: spectral.map(({ at }) => number(set[at]!, names[at]!, low, high, fault)),
      line: id.line,
    }
  })
  const scale =
    of === 'light' || nm.length === 0 ? 1 : scaleOf(rows, (message) => fault(message, tokens[data.first]))
  const weights = kind === undefined && of === 'reflectances' ? colourUnderD65(nm) : undefined
  const samples = rows.map(({ value, spectrum, ...sample }): CgatsSample => {
    const scaled = spectrum.map((one) => one * scale)
    return {
      ...sample,
      value: value ?? weights?.(scaled) ?? [0, 0, 0],
      ...(nm.length === 0 ? {} : { spectrum: scaled }),
    }
  })
  const wavelengths = nm.length === 0 ? {} : { wavelengths: nm }
  if (kind !== undefined)
    return { ...conditions(header, kind.space, file, options, fault), ...wavelengths, samples }
  const reference = { space: 'XYZ', illuminant: 'D65', observer: 2, source: file } as const
  return { reference, ...wavelengths, samples, warnings: [] }
}

type Fault = (message: string, at?: CgatsToken) => IsochipError

function number(word: CgatsToken, field: string, low: number, high: number, fault: Fault): number {
  if (!/^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(word.text))
    throw fault(
      `${field}: "${word.text}" is no number${/^[+-]?\d*,\d+$/.test(word.text) ? '; decimals take a point' : ''}`,
      word,
    )
  const value = Number(word.text)
  if (!(value >= low && value <= high))
    throw fault(`${field}: ${value} where ${low}…${high} is expected`, word)
  return value
}

/** A count that the header states must be that of the data. */
function checkCount(
  header: readonly CgatsToken[],
  word: string,
  found: number,
  what: string,
  fault: Fault,
): void {
  const at = header.findIndex((one) => one.text === word)
  const stated = header[at + 1]
  if (at < 0 || stated === undefined) return
  if (Number(stated.text) !== found)
    throw fault(`${word} is ${stated.text}, but there are ${found} ${what}`, stated)
}

/** The first word of a line that has another count of values than the format: where a value was lost, most likely. */
function shortLine(words: readonly CgatsToken[], width: number): CgatsToken | undefined {
  const lines = new Map<number, CgatsToken[]>()
  for (const word of words) {
    const line = lines.get(word.line)
    if (line === undefined) lines.set(word.line, [word])
    else line.push(word)
  }
  return [...lines.values()].find((line) => line.length !== width)?.[0]
}

/** Illuminant and observer, as some line of the header words them. */
function conditions(
  header: readonly CgatsToken[],
  space: ChartReference['space'],
  file: string,
  options: CgatsOptions,
  fault: Fault,
): { readonly reference: ChartReference; readonly warnings: readonly Warning[] } {
  const found = (pattern: RegExp) => {
    for (const token of header) {
      const match = pattern.exec(token.text)
      if (match !== null) return { token, text: match[1]!.toUpperCase() }
    }
    return undefined
  }
  const light = found(/^ILLUMINANT[\s,:]+([A-Z]\w*)/i)
  const eye = found(/^OBSERVER[\s,:]+(10|2)\b/i)
  const named = illuminantNames.find((name) => name === light?.text)
  if (light !== undefined && named === undefined)
    throw fault(`illuminant ${light.text} is not known; known are ${illuminantNames.join(', ')}`, light.token)
  const illuminant = named ?? options.illuminant
  const observer = eye === undefined ? options.observer : eye.text === '10' ? 10 : 2
  const warnings: Warning[] = []
  if (illuminant === undefined || observer === undefined)
    warnings.push({
      code: 'conditions-assumed',
      message: 'the file does not state illuminant and observer; D50 and 2° were taken',
      place: { file },
    })
  return {
    reference: { space, illuminant: illuminant ?? 'D50', observer: observer ?? 2, source: file },
    warnings,
  }
}
