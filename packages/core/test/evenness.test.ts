import { builtinChart, matchCamera, resolveEncoding, resolvePrimaries, type Vec3 } from '@isochip/core'
import { patchLight } from '@isochip/synthetic'
import { expect, it } from 'vitest'
import { placeOnChart } from '../src/chart/placeOnChart.ts'
import { exactTarget } from './support/exactTarget.ts'
import { readingsOf } from './support/readingsOf.ts'

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)
const aims = patchLight({ chart, device: 'sensor2', light: 'D65' }).map(({ light }) => light)

/** The target's own light, `stops` brighter at the right of the chart than at its left. */
const matched = (stops: number, evenness: 'off' | 'divide') =>
  matchCamera(
    {
      chart,
      readings: readingsOf(
        names,
        aims.map((light, i): Vec3 => {
          const factor = 2 ** ((stops * placeOnChart(chart, i)[0]) / 2)
          return [factor * light[0], factor * light[1], factor * light[2]]
        }),
      ),
      encoding: resolveEncoding('linear'),
      target: exactTarget(names, aims),
      working: resolvePrimaries('bt709'),
    },
    { model: 'lift-gain-matrix', robust: false, evenness },
  )

const meanOf = ({ patches }: ReturnType<typeof matched>) =>
  patches.reduce((sum, { dE00 }) => sum + dE00.after, 0) / patches.length

it('light that falls off by 0.4 stops is most of what is left, and divided out leaves next to nothing', () => {
  expect(meanOf(matched(0.4, 'off'))).toBeGreaterThan(1)
  expect(meanOf(matched(0.4, 'divide'))).toBeLessThan(0.02)
})
