import { builtinChart, type IsochipError } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { chartToJson, chartWithReference, parseCgats, parseChart, parseLight } from '../src/index.ts'

/** What the text is refused for. */
function fault(read: () => unknown): IsochipError {
  try {
    read()
  } catch (error) {
    return error as IsochipError
  }
  throw new Error('no fault was found')
}

const nm = Array.from({ length: 16 }, (_, i) => 400 + 20 * i)
/** The layout of ISO 28178 (CGATS.17), from memory; values invented. */
const cgats = (prefix: string, scale: number, head = '', values = '') => `CGATS.17
${head === '' ? '' : 'WEIGHTING_FUNCTION "ILLUMINANT, D50"\nWEIGHTING_FUNCTION "OBSERVER, 2 degree"'}
BEGIN_DATA_FORMAT
SAMPLE_NAME ${head} ${nm.map((at) => prefix + at).join(' ')}
END_DATA_FORMAT
BEGIN_DATA
light ${values} ${nm.map(() => 0.8 * scale).join(' ')}
dark ${values} ${nm.map(() => 0.05 * scale).join(' ')}
END_DATA
`
const duo = `{ "isochip": "chart/1", "id": "duo", "rows": 1, "columns": 2,
  "wavelengths": ${JSON.stringify(nm)},
  "patches": [
    { "name": "light", "role": "white", "reflectance": ${JSON.stringify(nm.map(() => 0.8))} },
    { "name": "dark", "reflectance": ${JSON.stringify(nm.map(() => 0.05))} }
  ],
  "geometry": { "pitch": [0.55, 1], "patch": [0.45, 1], "aspect": 2.2 } }`

describe('spectra in a chart file', () => {
  it('give the colours under D65 where nothing else does: a flat reflectance is that share of white', () => {
    const chart = parseChart(duo, 'duo.json')
    expect(chart.reference).toMatchObject({ space: 'XYZ', illuminant: 'D65', observer: 2 })
    const [X, Y, Z] = chart.patches[0]!.value!
    expect(Y).toBeCloseTo(0.8, 12)
    // The white of D65 as BT.709 has it: four digits, and the sums are good to 5·10⁻⁵.
    expect(Math.abs(X / (X + Y + Z) - 0.3127)).toBeLessThan(1e-4)
    expect(Math.abs(Y / (X + Y + Z) - 0.329)).toBeLessThan(1e-4)
    expect(parseChart(chartToJson(chart), 'again.json')).toEqual(chart)
  })

  it.each([
    ['without wavelengths', duo.replace(/"wavelengths": \[.*\],/, ''), 'a reflectance without wavelengths'],
    [
      'of another count',
      duo.replace('"wavelengths": [', '"wavelengths": [380,'),
      '16 values where 17 are expected',
    ],
    ['in per cent', duo.replace('[0.8,', '[80,'), '80 where a reflectance as a fraction, 0…1 is expected'],
    ['falling', duo.replace('[400,420,', '[420,400,'), 'wavelength 400 after 420'],
    ['too short', duo.replaceAll(',700]', ',690]'), '400…690 nm where 400…700 nm'],
    ['with a gap', duo.replace('[400,420,440', '[390,400,440'), 'nothing between 400 and 440 nm'],
  ])('%s are refused', (_, text, words) => {
    const { code, message } = fault(() => parseChart(text, 'duo.json'))
    expect([code, message]).toEqual(['chart-invalid', expect.stringContaining(words)])
  })
})

describe('spectra in CGATS', () => {
  it.each(['SPECTRAL_NM', 'SPECTRAL_NM_', 'SPECTRAL_', 'NM', 'nm_'])(
    'are read by the field names %s…',
    (prefix) => {
      const { wavelengths, samples, reference, warnings } = parseCgats(cgats(prefix, 1), 'print.txt')
      expect(wavelengths).toEqual(nm)
      expect(samples[1]!.spectrum).toEqual(nm.map(() => 0.05))
      expect(samples[0]!.value[1]).toBeCloseTo(0.8, 12)
      expect([reference.illuminant, warnings]).toEqual(['D65', []])
    },
  )

  it('are fractions or per cent, and refused where they may be either', () => {
    for (const value of parseCgats(cgats('NM', 100), 'print.txt').samples[0]!.spectrum!)
      expect(value).toBeCloseTo(0.8, 12)
    expect(fault(() => parseCgats(cgats('NM', 4), 'print.txt')).message).toContain(
      'neither fractions nor per cent',
    )
  })

  it('stand beside measured values, and go to the chart with them in place of those it had', () => {
    const file = parseCgats(cgats('NM', 1, 'LAB_L LAB_A LAB_B', '50 0 0'), 'print.txt')
    expect([file.reference.illuminant, file.samples[0]!.value]).toEqual(['D50', [50, 0, 0]])
    const { chart } = chartWithReference(parseChart(duo, 'duo.json'), file)
    expect(chart.patches[0]).toMatchObject({ value: [50, 0, 0], reflectance: nm.map(() => 0.8) })
    // Values alone: the spectra of another specimen do not stay beside them.
    const named = builtinChart('chart24').patches.map(({ name }) => `"${name}" 20 20 20`)
    const values = `BEGIN_DATA_FORMAT SAMPLE_NAME XYZ_X XYZ_Y XYZ_Z END_DATA_FORMAT BEGIN_DATA ${named.join(' ')} END_DATA`
    const own = chartWithReference(builtinChart('chart24'), parseCgats(values, 'print.txt')).chart
    expect([own.wavelengths, own.patches[0]!.reflectance]).toEqual([undefined, undefined])
  })
})

describe('parseLight', () => {
  const lines = nm.map((at) => `${at},${at / 400}`)
  const wanted = { nm, values: nm.map((at) => at / 400) }

  it('reads CSV with and without a header, and CGATS of one sample', () => {
    expect(parseLight(lines.join('\n'), 'lamp.csv')).toEqual(wanted)
    expect(
      parseLight(`\uFEFFnm;power\r\n# lamp 3\r\n${lines.join('\r\n').replaceAll(',', ';')}\r\n`, 'lamp.csv'),
    ).toEqual(wanted)
    const one = cgats('NM', 1).replace(/dark.*\n/, '')
    expect(parseLight(one, 'lamp.txt').values).toEqual(nm.map(() => 0.8))
  })

  it.each([
    ['an empty file', '', undefined, 'no wavelengths'],
    ['decimal commas', `nm;power\n400;0,5\n`, 2, '3 fields where wavelength and power are expected'],
    ['a word', [...lines.slice(0, 2), '440,none'].join('\n'), 3, '"440,none" where wavelength and power'],
    ['part of the range', lines.slice(0, 9).join('\n'), undefined, '400…560 nm'],
    ['darkness', nm.map((at) => `${at},0`).join('\n'), undefined, 'no power'],
    ['power below zero', lines.join('\n').replace('500,1.25', '500,-1.25'), undefined, '-1.25 at 500 nm'],
    ['two lights', cgats('NM', 1), undefined, '2 samples where one light is expected'],
  ])('refuses %s', (_, text, line, words) => {
    const { code, message, place } = fault(() => parseLight(text, 'lamp.csv'))
    expect([code, place]).toEqual([
      'target-invalid',
      { file: 'lamp.csv', ...(line === undefined ? {} : { line }) },
    ])
    expect(message).toContain(words)
  })
})
