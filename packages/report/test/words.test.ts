import { describe, expect, it } from 'vitest'
import { showVerdict } from '../src/index.ts'
import {
  cautionText,
  fitSentence,
  limitSentence,
  onSetLines,
  onSetSentence,
  showSentence,
} from '../src/words.ts'
import { inventedShow } from './support/inventedShow.ts'

const nothing = {
  exposure: 0,
  whiteBalance: { redOverGreen: 1, blueOverGreen: 1, mired: 0, tint: 0 },
  blackBalance: [0, 0, 0] as const,
  matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
  primaries: [],
}

describe('words', () => {
  it('opens for a positive exposure, closes for a negative one, and is silent below a twentieth of a stop', () => {
    const say = (exposure: number) => onSetLines({ ...nothing, exposure })[0]!.say
    expect([say(0.5), say(-1.25), say(0.04)]).toEqual(['open 0.50 stop', 'close 1.25 stop', 'right'])
  })

  it('has warmer for positive mired and greener for positive Duv', () => {
    const say = (mired: number, tint: number) =>
      onSetLines({ ...nothing, whiteBalance: { redOverGreen: 1.1, blueOverGreen: 0.9, mired, tint } })[1]!.say
    expect(say(12, 2)).toBe('R/G × 1.100, B/G × 0.900, warmer: +12 mired, greener: +2.0 · 10⁻³ Duv')
    expect(say(-12, -2)).toContain('cooler: −12 mired, less green: −2.0 · 10⁻³ Duv')
  })

  it('states black in percent, as it comes', () => {
    const say = (level: number) => onSetLines({ ...nothing, blackBalance: [level, 0, -0.1] })[2]!.say
    expect(say(-0.4)).toBe('R −0.4 %, G 0.0 %, B −0.1 %')
    expect(say(0.1)).toBe('right')
  })

  it('names the six terms and the primaries that are off', () => {
    const lines = onSetLines({
      ...nothing,
      matrix: { ...nothing.matrix, rg: -0.1, bg: 0.05 },
      primaries: [
        { name: 'red', hue: -3, saturation: 1.01 },
        { name: 'blue', hue: 0, saturation: 1 },
      ],
    })
    expect(lines[3]!.say).toBe('R-G −0.100, R-B 0.000, G-R 0.000, G-B 0.000, B-R 0.000, B-G +0.050')
    expect(lines[4]!.say).toBe('the match turns red hue −3.0°')
  })

  it('says so when nothing is worth setting', () => {
    expect(onSetSentence(nothing)).toBe('nothing worth setting')
  })

  it('says of a show how many matches are in, how many out, and how many could not be made', () => {
    const report = inventedShow()
    const failed = [{ camera: 'pole', setup: 'day', message: 'no chart' }]
    const wider = { ...report, tolerance: { mean: 99, max: 99 } }
    const only = { ...wider, setups: [{ setup: 'day', cameras: wider.setups[0]!.cameras.slice(0, 2) }] }
    const none = { ...report, setups: [] }
    const say = (show: typeof report) => showSentence(showVerdict(show))
    expect([say(report), say({ ...report, failed })]).toEqual([
      '2 of 4 matches are out of tolerance.',
      '2 of 4 matches are out of tolerance; 1 more could not be made.',
    ])
    expect([say(wider), say({ ...wider, failed })]).toEqual([
      'All 4 matches are within tolerance.',
      '4 matches are within tolerance; 1 more could not be made.',
    ])
    expect([say(only), say({ ...only, failed })]).toEqual([
      'The match is within tolerance.',
      '1 match is within tolerance; 1 more could not be made.',
    ])
    expect([say(none), say({ ...none, failed })]).toEqual([
      'Nothing to judge: every camera is the target.',
      'No match: 1 could not be made.',
    ])
  })

  it('names the patch of a caution once', () => {
    const place = { patch: 'red' }
    expect(cautionText({ code: 'patch-outlier', message: '20 % are dust', place })).toBe(
      'patch "red": 20 % are dust',
    )
    expect(cautionText({ code: 'patch-outlier', message: 'patch "red" is left out', place })).toBe(
      'patch "red" is left out',
    )
    expect(cautionText({ code: 'patch-outlier', message: 'uneven' })).toBe('uneven')
  })

  it('names the kind that auto chose and the light that was divided out, and nothing else', () => {
    const { match } = inventedShow().setups[0]!.cameras[1]!
    expect(fitSentence(match)).toBe('lift-gain-matrix, chosen by auto')
    expect(fitSentence({ ...match, requested: 'lift-gain-matrix' })).toBeUndefined()
    const evenness = { ...match.diagnosis.evenness!, divided: true }
    expect(
      fitSentence({ ...match, requested: 'lift-gain-matrix', diagnosis: { ...match.diagnosis, evenness } }),
    ).toBe('uneven light, 0.14 stop over the chart, divided out')
  })

  it('names the limit with its share, and owns up when there is no budget', () => {
    const report = inventedShow()
    const cross = report.setups[0]!.cameras[1]!
    expect(limitSentence(cross, report.tolerance)).toMatch(/^spectral difference, 62 %: /)
    const { budget: _, ...diagnosis } = cross.match.diagnosis
    const silent = { ...cross, match: { ...cross.match, diagnosis } }
    expect(limitSentence(silent, report.tolerance)).toBe('not told apart')
  })
})
