import { builtinChart, type IsochipError } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { chartWithReference, parseCgats } from '../src/index.ts'

/** The layout of ISO 28178 (CGATS.17), from memory; values invented. */
const good = `CGATS.17
ORIGINATOR\t"our ""own"" print shop"
# a remark
WEIGHTING_FUNCTION "ILLUMINANT, D65"
WEIGHTING_FUNCTION "OBSERVER, 10 degree"
NUMBER_OF_FIELDS 5
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
1 white 95.1 -0.3 1.2
2 "black, deep" 21.4 .1 -4e-1 # the darkest
END_DATA
`

const xyz = good
  .replace('LAB_L LAB_A LAB_B', 'XYZ_X XYZ_Y XYZ_Z')
  .replace('95.1 -0.3 1.2', '84.5 88.1 72')
  .replace('.1 -4e-1', '.1 0.4')

function fault(text: string): IsochipError {
  try {
    parseCgats(text, 'print.txt')
  } catch (error) {
    return error as IsochipError
  }
  throw new Error('no fault was found')
}

describe('parseCgats', () => {
  it('reads samples and their conditions', () => {
    expect(parseCgats(good, 'print.txt')).toEqual({
      reference: { space: 'Lab', illuminant: 'D65', observer: 10, source: 'print.txt' },
      samples: [
        { id: '1', name: 'white', value: [95.1, -0.3, 1.2], line: 12 },
        { id: '2', name: 'black, deep', value: [21.4, 0.1, -0.4], line: 13 },
      ],
      warnings: [],
    })
  })

  it('takes XYZ from the scale of 100 to that of 1', () => {
    const [white] = parseCgats(xyz, 'print.txt').samples
    expect(white!.value[0]).toBeCloseTo(0.845, 12)
    expect(white!.value[1]).toBeCloseTo(0.881, 12)
    expect(white!.value[2]).toBeCloseTo(0.72, 12)
  })

  it('does not mind line ends, tabs and a byte order mark', () => {
    const odd = `\uFEFF${good.replaceAll('\n', '\r\n').replaceAll(' ', '\t').replaceAll(',\t', ', ').replace('OBSERVER, 10\tdegree', 'OBSERVER, 10 degree')}`
    expect(parseCgats(odd, 'print.txt')).toEqual(parseCgats(good, 'print.txt'))
    const wrapped = good.replace('95.1 -0.3 1.2', '95.1\n-0.3 1.2')
    expect(parseCgats(wrapped, 'print.txt').samples[0]).toEqual(parseCgats(good, 'print.txt').samples[0])
  })

  it('says that it assumed the usual conditions, unless they are given', () => {
    const bare = good.replace(/WEIGHTING_FUNCTION.*\n/g, '')
    const assumed = parseCgats(bare, 'print.txt')
    expect(assumed.reference).toMatchObject({ illuminant: 'D50', observer: 2 })
    expect(assumed.warnings).toMatchObject([{ code: 'conditions-assumed' }])
    expect(parseCgats(bare, 'print.txt', { illuminant: 'C', observer: 2 })).toMatchObject({
      warnings: [],
      reference: { illuminant: 'C' },
    })
  })

  it.each([
    ['empty', '', undefined, undefined, /no BEGIN_DATA_FORMAT/],
    ['no data', good.replace('BEGIN_DATA\n', ''), undefined, undefined, /no BEGIN_DATA$/],
    ['data without end', good.replace('END_DATA\n', ''), 11, 1, /BEGIN_DATA without END_DATA/],
    ['open quotation', good.replace('deep"', 'deep'), 13, 3, /quotation mark/],
    ['lost value', good.replace('95.1 -0.3', '95.1'), 12, 1, /9 values are no whole number of sets of 5/],
    ['wrong count of sets', good.replace('SETS 2', 'SETS 3'), 10, 16, /NUMBER_OF_SETS is 3, but there are 2/],
    ['wrong count of fields', good.replace('FIELDS 5', 'FIELDS 4'), 6, 18, /NUMBER_OF_FIELDS is 4/],
    ['no colour', good.replaceAll('LAB_', 'DENSITY_'), 7, 1, /no XYZ, Lab, xyY or spectral/],
    ['doubled field', good.replace('LAB_A', 'LAB_L'), 8, 29, /LAB_L appears twice/],
    ['no names', good.replace('SAMPLE_ID SAMPLE_NAME', 'PAGE ROW'), 7, 1, /neither SAMPLE_ID/],
    ['doubled sample', good.replace('\n2 ', '\n1 '), 13, 1, /"1" stands in line 12 already/],
    ['decimal comma', good.replace('95.1', '95,1'), 12, 9, /"95,1" is no number; decimals take a point/],
    ['not a number', good.replace('95.1', 'NaN'), 12, 9, /"NaN" is no number/],
    ['out of range', good.replace('95.1', '951'), 12, 9, /951 where 0…120/],
    ['strange illuminant', good.replace('D65', 'D99'), 4, 20, /illuminant D99 is not known/],
  ] as const)('refuses: %s', (_, text, line, column, message) => {
    const found = fault(text)
    expect(found).toMatchObject({ name: 'IsochipError', code: 'chart-invalid', place: { file: 'print.txt' } })
    expect(found.message).toMatch(message)
    if (line !== undefined) expect([found.place.line, found.place.column]).toEqual([line, column])
  })
})

describe('chartWithReference', () => {
  const chart = builtinChart('chart24')
  const sets = (name: (i: number) => string, count = 24) =>
    Array.from({ length: count }, (_, i) => `${i + 1} "${name(i)}" ${20 + i} ${i} ${-i}`).join('\n')
  const file = (rows: string) =>
    parseCgats(
      good.replace(/NUMBER_OF_SETS 2\n/, '').replace(/(BEGIN_DATA\n)[\s\S]*(\nEND_DATA\n)/, `$1${rows}$2`),
      'print.txt',
    )

  it('matches by name, whatever the order, case and blanks', () => {
    const measured = file(sets((i) => chart.patches[23 - i]!.name.toUpperCase().replace(' ', '_')))
    const result = chartWithReference(chart, measured)
    expect(result.warnings).toEqual([])
    expect(result.chart.reference).toMatchObject({ space: 'Lab', illuminant: 'D65', observer: 10 })
    result.chart.patches.forEach((patch, i) => {
      const { name, role } = chart.patches[i]!
      expect(patch).toEqual({
        name,
        ...(role === undefined ? {} : { role }),
        value: [20 + 23 - i, 23 - i, i - 23],
      })
    })
  })

  it('matches by order where no name is a patch’s, and says so', () => {
    const result = chartWithReference(chart, file(sets((i) => `sample ${i}`)))
    expect(result.warnings).toMatchObject([{ code: 'matched-by-order' }])
    expect(result.chart.patches[5]!.value).toEqual([25, 5, -5])
  })

  it('refuses a file that lacks patches', () => {
    const some = file(sets((i) => chart.patches[i]!.name, 23))
    expect(() => chartWithReference(chart, some)).toThrow(
      expect.objectContaining({ code: 'patches-missing', message: expect.stringContaining('"black 2"') }),
    )
  })
})
