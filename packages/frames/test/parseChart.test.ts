import { builtinCharts, type IsochipError } from '@isochip/core'
import { chartFile } from '@isochip/core/shapes'
import { describe, expect, it } from 'vitest'
import { chartToJson, parseChart } from '../src/index.ts'

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
    expect(chartFile.safeParse(JSON.parse(good)).success).toBe(true)
    for (const field of ['isochip', 'id', 'rows', 'columns', 'patches', 'geometry']) {
      const without = good.replace(`"${field}"`, '"x"')
      expect(fault(without).message).not.toBe('')
      expect(chartFile.safeParse(JSON.parse(without)).success).toBe(false)
    }
    for (const chart of builtinCharts)
      expect(chartFile.safeParse(JSON.parse(chartToJson(chart))).error).toBeUndefined()
  })
})

const scattered = `{
  "isochip": "chart/1",
  "id": "trio",
  "reference": { "space": "Lab", "illuminant": "D50", "observer": 2 },
  "regions": { "size": [30, 20], "landmarks": [{ "name": "mark", "at": [1, 1] }] },
  "patches": [
    { "name": "white", "role": "white", "value": [95, 0, 1], "region": { "circle": { "centre": [6, 10], "radius": 5 } } },
    { "name": "skin", "role": "skin", "value": [65, 18, 20], "region": { "polygon": [[12, 4], [20, 4], [16, 16]] } },
    { "name": "hole", "role": "true-black", "region": { "polygon": [[22, 2], [28, 2], [28, 8], [22, 8]] } }
  ]
}`

describe('parseChart, of regions', () => {
  it('reads patches of any shape', () => {
    const chart = parseChart(scattered, 'trio.json')
    expect(chart).toEqual({
      id: 'trio',
      title: 'trio',
      reference: { space: 'Lab', illuminant: 'D50', observer: 2 },
      regions: { size: [30, 20], landmarks: [{ name: 'mark', at: [1, 1] }] },
      patches: [
        {
          name: 'white',
          role: 'white',
          value: [95, 0, 1],
          region: { circle: { centre: [6, 10], radius: 5 } },
        },
        {
          name: 'skin',
          role: 'skin',
          value: [65, 18, 20],
          region: {
            polygon: [
              [12, 4],
              [20, 4],
              [16, 16],
            ],
          },
        },
        {
          name: 'hole',
          role: 'true-black',
          region: {
            polygon: [
              [22, 2],
              [28, 2],
              [28, 8],
              [22, 8],
            ],
          },
        },
      ],
    })
    expect(parseChart(chartToJson(chart), 'again.json')).toEqual(chart)
    expect(structuredClone(chart)).toEqual(chart)
  })

  const skin = '"polygon": [[12, 4], [20, 4], [16, 16]]'
  const hole = '"name": "hole", "role": "true-black",'
  it.each([
    ['rows beside regions', scattered.replace('"regions"', '"rows": 1, "regions"'), 5, /rows beside regions/],
    ['no region', scattered.replace(/, "region": \{ "circle".*? \} \}/, ''), 7, /missing: region/],
    ['a region of a grid', good.replace('"role": "white",', '"region": {},'), 8, /region: no such field/],
    [
      'neither form',
      scattered.replace(`{ ${skin} }`, '{}'),
      8,
      /patches\[1\].region: neither polygon nor circle/,
    ],
    [
      'both forms',
      scattered.replace(skin, `${skin}, "circle": { "centre": [5, 5], "radius": 1 }`),
      8,
      /polygon and circle where one/,
    ],
    ['an unknown form', scattered.replace('"polygon": [[12', '"path": [[12'), 8, /path: no such field/],
    ['two corners', scattered.replace(skin, '"polygon": [[12, 4], [20, 4]]'), 8, /2 corners where 3/],
    [
      'crossing sides',
      scattered.replace(skin, '"polygon": [[12, 4], [20, 16], [20, 4], [12, 16]]'),
      8,
      /crosses itself/,
    ],
    ['a line', scattered.replace(skin, '"polygon": [[12, 4], [16, 8], [20, 12]]'), 8, /lie on a line/],
    [
      'a corner outside',
      scattered.replace('[16, 16]', '[16, 21]'),
      8,
      /polygon\[2\]: the corner lies out of/,
    ],
    [
      'a circle outside',
      scattered.replace('"radius": 5', '"radius": 7'),
      7,
      /circle reaches out of the chart of 30 × 20/,
    ],
    ['no size', scattered.replace('[30, 20]', '[30, 0]'), 5, /size\[1\]: 0 where a length above 0/],
    [
      'a landmark twice',
      scattered.replace('[1, 1] }', '[1, 1] }, { "name": "mark", "at": [2, 2] }'),
      5,
      /"mark" is the name of another/,
    ],
    ['no patches', scattered.replace(/"patches": \[[\s\S]*\n {2}\]/, '"patches": []'), 6, /no patches/],
    [
      'a true black with a value',
      scattered.replace(hole, `${hole} "value": [5, 0, 0],`),
      9,
      /light trap is no reflectance|true-black with a value/,
    ],
  ] as const)('refuses: %s', (_, text, line, message) => {
    const found = fault(text)
    expect(found).toMatchObject({ name: 'IsochipError', code: 'chart-invalid' })
    expect(found.message).toMatch(message)
    expect(found.place.line).toBe(line)
  })
})
