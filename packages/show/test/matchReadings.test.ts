import { builtinChart, IsochipError } from '@isochip/core'
import { describe, expect, test } from 'vitest'
import {
  bakeFormats,
  buildReport,
  matchFileText,
  matchReadings,
  parseMatchFile,
  parseShow,
  planShow,
  type SetupReadings,
  toMatchFile,
} from '../src/index.ts'
import { chartReadings } from './chartReadings.ts'

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
      for (const gain of matches[index]!.match.model.gain) expect(gain * factor).toBeCloseTo(1, 3)
    }
  })

  test('the target is converted and not touched', () => {
    const [target] = matchReadings(plan, readings).matches
    expect(target!.isTarget).toBe(true)
    expect(target!.match.model).toEqual({
      kind: 'gain',
      lift: [0, 0, 0],
      gain: [1, 1, 1],
      matrix: [
        [1, 0, 0],
        [0, 1, 0],
        [0, 0, 1],
      ],
    })
    expect(target!.match.summary.after.max).toBe(0)
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
      'isochip: found "report/1", expected one of match/2, match/1',
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
})
