import { builtinCharts, type IsochipError } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { chartSchema, chartToJson, parseChart } from '../src/index.ts'

const good = `{
  "isochip": "chart/1",
  "id": "duo",
  "rows": 1,
  "columns": 2,
  "reference": { "space": "Lab", "illuminant": { "white": [0.3127, 0.329] }, "observer": 2 },
  "patches": [
    { "name": "white", "role": "white", "value": [95, 0, 1] },
    { "name": "black", "value": [20, 0, -1] }
  ],
  "geometry": { "pitch": [0.55, 1], "patch": [0.45, 1], "aspect": 2.2 },
  "measured": "2026-02-28",
  "replace_by": "2028-02-29"
}`

function fault(text: string): IsochipError {
  try {
    parseChart(text, 'duo.json')
  } catch (error) {
    return error as IsochipError
  }
  throw new Error('no fault was found')
}

describe('parseChart', () => {
  it('reads a chart', () => {
    expect(parseChart(good, 'duo.json')).toEqual({
      id: 'duo',
      title: 'duo',
      rows: 1,
      columns: 2,
      reference: { space: 'Lab', illuminant: { white: [0.3127, 0.329] }, observer: 2 },
      patches: [
        { name: 'white', role: 'white', value: [95, 0, 1] },
        { name: 'black', value: [20, 0, -1] },
      ],
      geometry: { pitch: [0.55, 1], patch: [0.45, 1], aspect: 2.2 },
      measured: '2026-02-28',
      replaceBy: '2028-02-29',
    })
  })

  it.each(builtinCharts.map((chart) => [chart.id, chart] as const))(
    'reads %s back as chartToJson wrote it',
    (_, chart) => {
      expect(parseChart(chartToJson(chart), 'x.json')).toEqual(chart)
    },
  )

  it.each([
    ['no JSON', good.replace('"duo",', '"duo"'), 4, 3, /not valid JSON/],
    ['empty', '', undefined, undefined, /not valid JSON/],
    ['a list', '[]', 1, 1, /an array of 0 where an object is expected/],
    ['other version', good.replace('chart/1', 'chart/9'), 2, 14, /isochip: "chart\/9" where one of chart\/1/],
    ['missing field', good.replace('"rows": 1,', ''), 1, 1, /missing: rows/],
    ['unknown field', good.replace('"rows"', '"lines"'), 4, 12, /lines: no such field/],
    ['doubled field', good.replace('"columns"', '"rows"'), 5, 11, /rows: the field appears twice/],
    ['id with a slash', good.replace('"duo"', '"../duo"'), 3, 9, /letters, digits/],
    ['rows no whole number', good.replace('"rows": 1', '"rows": 1.5'), 4, 11, /1.5 where a whole number/],
    [
      'wrong count',
      good.replace('"columns": 2', '"columns": 3'),
      7,
      14,
      /2 patches where 1 rows × 3 columns = 3/,
    ],
    [
      'doubled name',
      good.replace('"black"', '"white"'),
      9,
      15,
      /"white" is the name of patches\[0\] already/,
    ],
    [
      'unknown role',
      good.replace('"role": "white"', '"role": "pale"'),
      8,
      32,
      /patches\[0\].role: "pale" where one of/,
    ],
    ['value too long', good.replace('[20, 0, -1]', '[20, 0, -1, 4]'), 9, 33, /4 values where 3/],
    ['value no number', good.replace('[20, 0, -1]', '[20, "0", -1]'), 9, 38, /patches\[1\].value\[1\]: "0"/],
    ['value too large', good.replace('[20, 0, -1]', '[200, 0, -1]'), 9, 34, /200 where L within 0…120/],
    ['infinite value', good.replace('[20, 0, -1]', '[1e999, 0, -1]'), 9, 34, /Infinity/],
    ['unknown space', good.replace('"Lab"', '"Luv"'), 6, 27, /"Luv" where one of XYZ, xyY, Lab/],
    [
      'unknown illuminant',
      good.replace('{ "white": [0.3127, 0.329] }', '"D93"'),
      6,
      48,
      /"D93" where one of A, C, D50/,
    ],
    [
      'overlapping patches',
      good.replace('[0.55, 1], "patch": [0.45, 1]', '[0.4, 1], "patch": [0.6, 1]'),
      11,
      15,
      /overlap/,
    ],
    ['geometry of the board', good.replace('[0.55, 1]', '[0.5, 1]'), 11, 15, /pitch \+ patch = 0.95/],
    ['no such day', good.replace('2028-02-29', '2027-02-29'), 13, 17, /"2027-02-29" where a date/],
  ] as const)('refuses: %s', (_, text, line, column, message) => {
    const found = fault(text)
    expect(found).toMatchObject({ name: 'IsochipError', code: 'chart-invalid' })
    expect(found.message).toMatch(message)
    expect(found.place.file).toBe('duo.json')
    if (line !== undefined) expect([found.place.line, found.place.column]).toEqual([line, column])
  })

  it('asks for the reference that values are relative to', () => {
    const bare = good.replace(/ {2}"reference".*\n/, '')
    expect(fault(bare)).toMatchObject({ message: 'patches[0].value: a value without a reference' })
  })

  it('keeps to its published schema', () => {
    expect(Object.keys(JSON.parse(good) as object).every((field) => field in chartSchema.properties)).toBe(
      true,
    )
    expect(
      chartSchema.required.every((field) => fault(good.replace(`"${field}"`, '"x"')).message !== ''),
    ).toBe(true)
  })
})
