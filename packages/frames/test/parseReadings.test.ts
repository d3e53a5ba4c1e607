import { builtinChart, type Chart, type IsochipError } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseReadings, readingsToCsv } from '../src/index.ts'

const chart: Chart = {
  ...builtinChart('chart24'),
  id: 'duo',
  rows: 1,
  columns: 2,
  patches: [{ name: 'white' }, { name: 'black, deep' }],
}
const good = 'patch,r,g,b\nwhite,0.9,0.91,0.92\n"black, deep",0.03,0.031,0.032\n'

function fault(text: string): IsochipError {
  try {
    parseReadings(text, 'day.csv', chart)
  } catch (error) {
    return error as IsochipError
  }
  throw new Error('no fault was found')
}

describe('parseReadings', () => {
  it('reads the lines in the order of the chart, whatever theirs', () => {
    const swapped = 'patch,r,g,b\n"black, deep",0.03,0.031,0.032\nwhite,.9,+9.1e-1,0.92\n'
    expect(parseReadings(swapped, 'day.csv', chart)).toEqual(parseReadings(good, 'day.csv', chart))
    expect(parseReadings(good, 'day.csv', chart).patches[1]).toEqual({
      patch: 'black, deep',
      rgb: [0.03, 0.031, 0.032],
    })
  })

  it('reads every column', () => {
    const full =
      'patch,r,g,b,sd_r,sd_g,sd_b,pixels,clipped\nwhite,1.02,1,1,0.01,0.02,0.03,100,0.5\n"black, deep",-0.01,0,0,0,0,0,90,0\n'
    expect(parseReadings(full, 'day.csv', chart).patches[0]).toEqual({
      patch: 'white',
      rgb: [1.02, 1, 1],
      sd: [0.01, 0.02, 0.03],
      pixels: 100,
      clipped: 0.5,
    })
  })

  it('does not mind a byte order mark, CR LF, blank lines and spaces', () => {
    const windows = `\uFEFF${good.replaceAll('\n', '\r\n').replace('white,0.9,', 'white , 0.9 ,')}\r\n\r\n`
    expect(parseReadings(windows, 'day.csv', chart)).toEqual(parseReadings(good, 'day.csv', chart))
  })

  it.each([
    ['empty', '', 'readings-invalid', undefined, undefined, /empty/],
    ['no header', good.slice(12), 'readings-invalid', 1, 1, /no field is called "white"/],
    ['semicolons', good.replaceAll(',', ';'), 'readings-invalid', 1, 1, /not separated by commas/],
    ['unknown field', good.replace(',b', ',b,x'), 'readings-invalid', 1, 13, /"x"/],
    ['field twice', good.replace(',b', ',b,r'), 'readings-invalid', 1, 13, /twice/],
    ['field missing', good.replace(',b', ''), 'readings-invalid', 1, 1, /lacks b/],
    ['one deviation', good.replace(',b', ',b,sd_r'), 'readings-invalid', 1, 1, /not all of sd_r/],
    [
      'too few fields',
      good.replace(',0.92', ''),
      'readings-invalid',
      2,
      11,
      /3 fields where the header has 4/,
    ],
    [
      'decimal comma',
      good.replace('0.91', '0,91'),
      'readings-invalid',
      2,
      16,
      /5 fields where the header has 4/,
    ],
    ['quoted decimal comma', good.replace('0.91', '"0,91"'), 'readings-invalid', 2, 11, /decimal comma/],
    ['percentage', good.replace('0.91', '91%'), 'readings-invalid', 2, 11, /"91%" is a percentage/],
    ['NaN', good.replace('0.031', 'NaN'), 'readings-invalid', 3, 20, /no finite number/],
    ['infinity', good.replace('0.031', '-inf'), 'readings-invalid', 3, 20, /no finite number/],
    ['overflow', good.replace('0.031', '1e999'), 'readings-invalid', 3, 20, /beyond every range/],
    ['hexadecimal', good.replace('0.031', '0x1'), 'readings-invalid', 3, 20, /is no number/],
    ['empty field', good.replace('0.031', ''), 'readings-invalid', 3, 20, /empty/],
    ['8-bit codes', good.replace('0.9,', '231,'), 'readings-invalid', 2, 7, /231 where a fraction/],
    [
      'open quotation',
      good.replace('deep"', 'deep'),
      'readings-invalid',
      undefined,
      undefined,
      /not valid CSV/,
    ],
    ['unknown patch', good.replace('white', 'White'), 'patch-unknown', 2, 1, /no patch "White"/],
    ['doubled patch', `${good}white,0.9,0.9,0.9\n`, 'patch-doubled', 4, 1, /line 2 already/],
    [
      'missing patch',
      good.split('\n').slice(0, 2).join('\n'),
      'patches-missing',
      undefined,
      undefined,
      /"black, deep"/,
    ],
  ] as const)('refuses: %s', (_, text, code, line, column, message) => {
    const found = fault(text)
    expect(found).toMatchObject({ name: 'IsochipError', code })
    expect(found.message).toMatch(message)
    expect(found.place.file).toBe('day.csv')
    if (line !== undefined) expect([found.place.line, found.place.column]).toEqual([line, column])
  })

  it('suggests the chart’s spelling', () => {
    expect(fault(good.replace('white', 'White')).hint).toBe('the chart spells it "white"')
  })
})

describe('readingsToCsv', () => {
  it('is read back to the same doubles', () => {
    const value = fc.double({ min: -1, max: 16, noNaN: true, noDefaultInfinity: true })
    const positive = fc.double({ min: 0, max: 1, noNaN: true })
    const triple = <T>(of: fc.Arbitrary<T>) => fc.tuple(of, of, of)
    const reading = fc.record({
      rgb: triple(value),
      sd: triple(positive),
      pixels: fc.integer({ min: 1, max: 1e6 }),
      clipped: positive,
    })
    fc.assert(
      fc.property(reading, reading, (a, b) => {
        const readings = {
          patches: [
            { patch: 'white', ...a },
            { patch: 'black, deep', ...b },
          ],
        }
        const plain = JSON.parse(JSON.stringify(readings)) as unknown // −0 is written as 0
        expect(parseReadings(readingsToCsv(readings), 'x.csv', chart)).toEqual(plain)
      }),
    )
  })

  it('quotes names that need it', () => {
    expect(readingsToCsv({ patches: [{ patch: 'a "b", c', rgb: [0.1, 0.2, 0.3] }] })).toBe(
      'patch,r,g,b\n"a ""b"", c",0.1,0.2,0.3\n',
    )
  })
})
