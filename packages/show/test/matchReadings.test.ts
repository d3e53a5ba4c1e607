import { builtinChart, IsochipError, identity3 } from '@isochip/core'
import { describe, expect, test } from 'vitest'
import {
  bakeFormats,
  buildReport,
  type MatchFile,
  matchFileText,
  matchReadings,
  parseMatchFile,
  parseShow,
  planShow,
  type SetupReadings,
  toMatchFile,
} from '../src/index.ts'
import { chartReadings } from './chartReadings.ts'
import { fitted } from './fitted.ts'

const text = `isochip: 1
chart: chart24
target: { camera: wide }
cameras:
  - { id: wide, encoding: bt709, readings: a.csv }
  - { id: cross, encoding: srgb, shots: [{ readings: b.csv }, { setup: night, borrow: default }] }
  - { id: crane, encoding: bt709, readings: c.csv }
`
const chart = builtinChart('chart24')
const plan = planShow(await parseShow(text), { chart })
const readings: SetupReadings[] = [
  { camera: 'wide', setup: 'default', readings: chartReadings('bt709', 1) },
  { camera: 'cross', setup: 'default', readings: chartReadings('srgb', 0.7) },
  { camera: 'crane', setup: 'default', readings: chartReadings('bt709', 0.5) },
]

describe('matchReadings', () => {
  test('matches in memory, in the order of the show, borrowed setups too', () => {
    const { matches, failures } = matchReadings(plan, readings)
    expect(failures).toEqual([])
    expect(matches.map(({ setup, camera, borrowed }) => [setup, camera, borrowed])).toEqual([
      ['default', 'wide', undefined],
      ['default', 'cross', undefined],
      ['default', 'crane', undefined],
      ['night', 'cross', 'default'],
    ])
    // The cameras differ by a factor on the light and nothing else.
    for (const [index, factor] of [
      [1, 0.7],
      [2, 0.5],
    ] as const) {
      for (const gain of fitted(matches[index]!.match).model.gain) expect(gain * factor).toBeCloseTo(1, 3)
    }
  })

  test('the reference camera is converted and not touched', () => {
    const [reference] = matchReadings(plan, readings).matches
    expect(reference!.match).toMatchObject({ kind: 'reference', warnings: [] })
    expect(reference!.match.model).toEqual({ kind: 'conversion', matrix: identity3 })
    // Its light is what the others go to.
    const other = fitted(matchReadings(plan, readings).matches[1]!.match)
    expect(reference!.match.patches.map(({ patch, source }) => ({ patch, target: source }))).toEqual(
      other.patches.map(({ patch, target }) => ({ patch, target })),
    )
  })

  test('a camera that cannot be matched does not stop the others', () => {
    const clipped = chartReadings('bt709', 1).patches.map((patch) => ({ ...patch, clipped: 1 }))
    const { matches, failures } = matchReadings(plan, [
      readings[0]!,
      readings[1]!,
      { ...readings[2]!, readings: { patches: clipped } },
    ])
    expect(matches.map(({ camera }) => camera)).toEqual(['wide', 'cross', 'cross'])
    expect(failures).toHaveLength(1)
    expect(failures[0]).toBeInstanceOf(IsochipError)
    expect(failures[0]!.place).toMatchObject({ camera: 'crane', setup: 'default' })
  })

  test('without the target nothing is matched, and it is said whose chart to mend', () => {
    const { matches, failures } = matchReadings(plan, readings.slice(1))
    expect(matches).toEqual([])
    expect(failures.map(({ code, place }) => [code, place.camera])).toEqual([['target-invalid', 'wide']])
  })

  test('a match file keeps all its digits, and reads back', async () => {
    const { matches } = matchReadings(plan, readings)
    const file = toMatchFile(plan, matches[1]!)
    const text = matchFileText(file)
    expect(await parseMatchFile(text)).toEqual(JSON.parse(JSON.stringify(file)))
    expect(text).toMatch(/^ {4}"gain": \[[\d.]+, [\d.]+, [\d.]+\],$/m)
  })

  test('a report has the figures of the matches', () => {
    const { matches } = matchReadings(plan, readings)
    const report = buildReport(plan, matches)
    expect(report.setups.map(({ setup, cameras }) => [setup, cameras.length])).toEqual([
      ['default', 3],
      ['night', 1],
    ])
    expect(report.setups[0]!.cameras[1]!.match).toBe(matches[1]!.match)
  })

  test('auto takes no more points than the match needs', () => {
    const { matches } = matchReadings(plan, readings)
    const auto = { ...plan, show: { ...plan.show, output: { ...plan.show.output, size: 'auto' as const } } }
    const { lattice } = bakeFormats(auto, matches[2]!)
    expect([17, 33, 65]).toContain(lattice.size)
    expect(lattice.interpolation!.max).toBeGreaterThanOrEqual(lattice.interpolation!.mean)
  })
})

describe('parseMatchFile', () => {
  const whole = matchFileText(toMatchFile(plan, matchReadings(plan, readings).matches[1]!))
  test.each([
    [
      'another kind of file',
      '{ "isochip": "report/1" }',
      'isochip: found "report/1", expected one of match/3, match/2, match/1',
      1,
    ],
    [
      'a gain that is no number',
      whole.replace(/"gain": \[[^,]+,/, '"gain": ["a",'),
      'model.gain[0]: found "a", expected a number',
      undefined,
    ],
    [
      'a model nobody knows',
      whole.replace('"kind": "lift-gain-matrix"', '"kind": "spline"'),
      'model.kind: found "spline", expected one of gain,',
      undefined,
    ],
    ['half a file', whole.slice(0, 700), 'this is not valid JSON', undefined],
  ])('%s', async (_, text, message, line) => {
    const error = await parseMatchFile(text, 'x.match.json').catch((cause: unknown) => cause)
    expect(error).toBeInstanceOf(IsochipError)
    expect(error).toMatchObject({
      code: 'match-invalid',
      place: { file: 'x.match.json', ...(line && { line }) },
    })
    expect((error as IsochipError).message).toContain(message)
  })

  test('what does not exist is null in the file and NaN again when it is read', async () => {
    const text = whole.replace(/"condition": [\d.]+/, '"condition": null')
    expect(text).not.toBe(whole)
    expect(fitted(await parseMatchFile(text)).diagnosis.condition).toBeNaN()
  })

  describe('of earlier builds', () => {
    const current = fitted(JSON.parse(whole) as MatchFile)
    const { kind: _, isochip: __, spaces: ___, ...shared } = current

    test.each(['match/1', 'match/2'])('%s is read on', async (isochip) => {
      const parts = ['noise', 'clipping', 'unevenness', 'curve', 'foreign', 'spectral', 'undetermined']
      const budget = { ...Object.fromEntries(parts.map((part) => [part, 1 / 7])), limit: 'noise' }
      const { diagnosis } = shared
      const text = JSON.stringify({
        ...shared,
        isochip,
        isTarget: false,
        diagnosis: { ...diagnosis, budget },
      })
      // The shares of `match/1` are of another figure.
      const expected = isochip === 'match/1' ? current : { ...current, diagnosis: { ...diagnosis, budget } }
      expect(await parseMatchFile(text)).toEqual(JSON.parse(JSON.stringify(expected)))
    })

    test('the made-up match of the reference camera is a conversion', async () => {
      const none = { before: 0, balanced: 0, after: 0 }
      const patch = { patch: 'red', source: [0.4, 0.1, 0.1], target: [0.4, 0.1, 0.1], dE00: none, weight: 1 }
      const model = { kind: 'gain', lift: [0, 0, 0], gain: [1, 1, 1], matrix: identity3 }
      const text = JSON.stringify({
        ...shared,
        isochip: 'match/2',
        isTarget: true,
        model,
        patches: [patch, { ...patch, patch: 'white', excluded: 'clipped' }],
      })
      expect(await parseMatchFile(text)).toMatchObject({
        isochip: 'match/3',
        kind: 'reference',
        model: { kind: 'conversion', matrix: identity3 },
        patches: [
          { patch: 'red', source: [0.4, 0.1, 0.1] },
          { patch: 'white', source: [0.4, 0.1, 0.1], excluded: 'clipped' },
        ],
      })
    })
  })
})
