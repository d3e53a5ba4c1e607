import { builtinCharts, resolveEncoding } from '@isochip/core'
import { findChart, foreignPatches, sampleChart } from '@isochip/frames'
import { scene } from '@isochip/synthetic'
import { expect, test } from 'vitest'

/*
 * Two clean charts of a logarithmic camera of 8 bits, underexposed in warm light: red is at the bottom of its curve in nine patches of
 * 24, and light falls to a half over the larger one.
 */
test('what clips in one channel speaks in the others: no clean patch is named as covered', () => {
  const { frame, conditions } = scene(82052)
  const {
    spec: { transfer },
    range,
  } = resolveEncoding(conditions.camera.encoding)
  const { others, ...first } = findChart(frame, builtinCharts)
  const charts = [first, ...others]
  expect(charts).toHaveLength(2)
  for (const { chart, corners, map } of charts) {
    const { areas } = sampleChart({ frames: [frame], chart, corners, map, range, transfer })
    const judged = foreignPatches(areas, chart, { frame, range, transfer })
    expect(judged).toHaveLength(24)
    expect(judged.filter(({ foreign }) => foreign).map(({ patch }) => patch)).toEqual([])
  }
})
