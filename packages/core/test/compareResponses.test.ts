import {
  apply3,
  builtinChart,
  compareResponses,
  type Mat3,
  multiply3,
  resolveEncoding,
  resolvePrimaries,
} from '@isochip/core'
import { expect, it } from 'vitest'
import { lightsSeen } from './support/lightsSeen.ts'
import { readingsOf } from './support/readingsOf.ts'

it('cameras that are matrices of each other: each pair once, each map the matrix between the two, and nothing left', () => {
  // Without reference values nobody but the cameras is compared.
  const { reference: _, ...chart } = builtinChart('chart24')
  const names = chart.patches.map(({ name }) => name)
  const seen = lightsSeen(chart, 'sensor1', 'D65')
  const toNorth: Mat3 = [
    [0.9, 0.1, 0],
    [0.05, 0.8, 0.1],
    [0, 0.1, 0.7],
  ]
  const toSouth: Mat3 = [
    [0.7, 0.2, 0.1],
    [0, 0.9, 0.05],
    [0.1, 0, 0.8],
  ]
  const camera = (name: string, by?: Mat3) => ({
    name,
    readings: readingsOf(names, by === undefined ? seen : seen.map((light) => apply3(by, light))),
    encoding: resolveEncoding('linear'),
  })
  const { maps, pairs, observer } = compareResponses({
    chart,
    cameras: [camera('east'), camera('north', toNorth), camera('south', toSouth)],
    working: resolvePrimaries('bt709'),
  })
  expect(observer).toEqual([])
  expect(pairs.map(({ a, b }) => `${a} ${b}`)).toEqual(['east north', 'east south', 'north south'])
  for (const { principalAngles } of pairs)
    for (const angle of principalAngles) expect(angle).toBeLessThan(1e-6)
  const between = (from: string, to: string) =>
    maps.filter((map) => map.from === from && map.to === to).map(({ matrix }) => matrix)
  expect(maps).toHaveLength(6)
  const near = (matrices: Mat3[], wanted: Mat3) => {
    expect(matrices).toHaveLength(1)
    for (const [r, row] of matrices[0]!.entries())
      for (const [c, value] of row.entries()) expect(value).toBeCloseTo(wanted[r]![c]!, 9)
  }
  near(between('east', 'north'), toNorth)
  near(
    [multiply3(between('east', 'north')[0]!, between('north', 'east')[0]!)],
    [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
    ],
  )
  near([multiply3(between('north', 'south')[0]!, toNorth)], toSouth)
  for (const { remaining } of maps) expect(remaining.max).toBeLessThan(1e-6)
})
