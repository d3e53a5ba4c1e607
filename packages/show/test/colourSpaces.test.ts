import {
  apply3,
  builtinChart,
  inverse3,
  primariesConversion,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { expect, test } from 'vitest'
import { matchReadings, parseShow, planShow, toMatchFile } from '../src/index.ts'
import { chartReadings } from './chartReadings.ts'
import { fitted } from './fitted.ts'

/** The model is applied to some tens of values of about 1, in double precision. */
const tolerance = 1e-12

test('the colours of a match file are in the spaces that it names', async () => {
  const show = await parseShow({
    isochip: 1,
    chart: 'chart24',
    target: { camera: 'wide' },
    fit: { model: 'lift-gain-matrix' },
    cameras: [
      { id: 'wide', encoding: 'bt709', readings: 'a.csv' },
      { id: 'cross', encoding: { transfer: 'srgb', primaries: 'p3-d65' }, readings: 'b.csv' },
    ],
  })
  const plan = planShow(show, { chart: builtinChart('chart24') })
  const { matches } = matchReadings(plan, [
    { camera: 'wide', setup: 'default', readings: chartReadings('bt709', 1) },
    { camera: 'cross', setup: 'default', readings: chartReadings('srgb', 0.7) },
  ])
  const file = fitted(toMatchFile(plan, matches.find(({ camera }) => camera === 'cross')!))
  expect(file.spaces.model).toEqual({ from: 'sourceEncoding', to: 'working' })
  const { primaries } = resolveEncoding(file.sourceEncoding)
  const toSource = inverse3(primariesConversion(primaries, resolvePrimaries(file.working)))
  const { lift, gain, matrix } = file.model
  for (const { patch, source, matched } of file.patches) {
    // `source` is in the working primaries; the model takes light in those of the camera.
    const light = apply3(toSource, source)
    const levelled: Vec3 = [
      gain[0] * (light[0] + lift[0]),
      gain[1] * (light[1] + lift[1]),
      gain[2] * (light[2] + lift[2]),
    ]
    const expected = apply3(matrix, levelled)
    for (const c of [0, 1, 2] as const)
      expect(Math.abs(matched[c] - expected[c]), patch).toBeLessThan(tolerance)
  }
})
