import { builtinChart } from '@isochip/core'
import { reportJson } from '@isochip/report'
import { expect, test } from 'vitest'
import {
  bakeFormats,
  buildReport,
  matchFileText,
  matchReadings,
  parseShow,
  planShow,
  toMatchFile,
} from '../src/index.ts'
import { chartReadings } from './chartReadings.ts'

const show = await parseShow({
  isochip: 1,
  chart: 'chart24',
  target: { camera: 'wide' },
  output: { formats: ['clf'] },
  cameras: [
    { id: 'wide', encoding: 'bt709', readings: 'a.csv' },
    { id: 'cross', encoding: { transfer: { log: { base: 10, linSideOffset: 0.01 } } }, readings: 'b.csv' },
    { id: 'crane', encoding: 'measured', readings: 'c.csv' },
  ],
})
const plan = planShow(show, { chart: builtinChart('chart24') })
const readings = [
  { camera: 'wide', setup: 'default', readings: chartReadings('bt709', 1) },
  { camera: 'cross', setup: 'default', readings: chartReadings('bt709', 0.8) },
  { camera: 'crane', setup: 'default', readings: chartReadings('srgb', 0.9) },
]

// By the structured clone of the HTML standard: what it takes goes to another thread, a worker of a browser, a database.
test('plans, readings, matches and reports are plain data, and work as well after having been cloned', () => {
  const { matches, failures } = matchReadings(plan, readings)
  expect(failures).toEqual([])
  expect(matches).toHaveLength(3)
  const there = structuredClone(plan)
  const again = matchReadings(there, structuredClone(readings))
  expect(again.matches).toEqual(matches)
  for (const [i, match] of matches.entries()) {
    const clone = structuredClone(match)
    expect(clone).toEqual(match)
    expect(matchFileText(toMatchFile(there, clone))).toBe(matchFileText(toMatchFile(plan, match)))
    const [own, others] = [bakeFormats(plan, match), bakeFormats(there, again.matches[i]!)]
    expect(others.files[0]!.bytes).toEqual(own.files[0]!.bytes)
  }
  const report = buildReport(plan, matches)
  expect(reportJson(structuredClone(report))).toBe(reportJson(report))
})
