import { describe, expect, it } from 'vitest'
import { showVerdict } from '../src/index.ts'
import { verdict } from '../src/verdict.ts'
import {
  cautionText,
  fitSentence,
  limitSentence,
  nextSentence,
  nextStep,
  showSentence,
} from '../src/words.ts'
import { fittedCamera, inventedShow } from './support/inventedShow.ts'

describe('words', () => {
  it('says of a show how many matches are in, how many out, and how many could not be made', () => {
    const report = inventedShow()
    const failed = [{ camera: 'pole', setup: 'day', message: 'no chart' }]
    const wider = { ...report, tolerance: { mean: 99, max: 99 } }
    const only = { ...wider, setups: [{ setup: 'day', cameras: wider.setups[0]!.cameras.slice(0, 2) }] }
    const two = { ...wider, setups: [{ setup: 'day', cameras: wider.setups[0]!.cameras.slice(0, 3) }] }
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
    expect([say(two), say({ ...two, failed })]).toEqual([
      'Both matches are within tolerance.',
      '2 matches are within tolerance; 1 more could not be made.',
    ])
    expect([say(none), say({ ...none, failed })]).toEqual([
      'Nothing to judge: there is only the reference camera.',
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
    const { match } = fittedCamera(inventedShow().setups[0]!, 'cross')
    expect(fitSentence(match)).toBe('lift-gain-matrix, chosen by auto')
    expect(fitSentence({ ...match, requested: 'lift-gain-matrix' })).toBeUndefined()
    const evenness = { ...match.diagnosis.evenness!, divided: true }
    expect(
      fitSentence({ ...match, requested: 'lift-gain-matrix', diagnosis: { ...match.diagnosis, evenness } }),
    ).toBe('uneven light, 0.14 stop across the chart, flat-fielded')
  })

  it('names the limit with its share, and owns up when there is no budget', () => {
    const report = inventedShow()
    const cross = fittedCamera(report.setups[0]!, 'cross')
    expect(limitSentence(cross, report.tolerance)).toMatch(/^sensor metamerism, 62 %: /)
    const { budget: _, ...diagnosis } = cross.match.diagnosis
    const silent = { ...cross, match: { ...cross.match, diagnosis } }
    expect(limitSentence(silent, report.tolerance)).toBe('cause undetermined')
  })

  it('tells what to do with the LUTs, and never to use one that is out or in doubt', () => {
    const report = inventedShow()
    const [day] = report.setups
    const [cross, crane] = ['cross', 'crane'].map((name) => fittedCamera(day!, name))
    const steps = day!.cameras.map((camera) => nextStep(verdict(camera, report.tolerance)))
    expect(steps[0]).toBeUndefined()
    expect(steps[1]).toBe('use the LUT')
    expect(steps[2]).toMatch(/^do not use the LUT /)
    const doubts = [{ code: 'range-doubtful', message: 'narrow range?' }]
    expect(nextStep({ state: 'doubtful', exceeded: [], doubts })).toBe('check first: narrow range?')

    const one = (state: 'within' | 'doubtful' | 'out') =>
      nextSentence({
        within: state !== 'out',
        judged: 1,
        out: state === 'out' ? [crane!] : [],
        doubtful: state === 'doubtful' ? [cross!] : [],
        failed: 0,
      })
    expect(one('within')).toMatch(/^The LUT can be used: /)
    for (const state of ['doubtful', 'out'] as const) expect(one(state)).not.toMatch(/can be used/)
    const both = showVerdict(report)
    expect(nextSentence(both)).toMatch(/^Do not use .* The others can be used: /)
    expect(nextSentence({ ...both, judged: 0, out: [] })).toBe('')
  })
})
